#include "demo_area/places.hpp"

namespace brookmark::demo {

std::span<const PlacedSite> placed_sites() {
  using core::PlanePoint;
  static const std::vector<PlacedSite> all{
      // The main stream, from its head down. OUT-2 enters between Q03 and Q04.
      {"Q01", "Head of the brook", kStem, "stream", 1.3, 4, {}, 5, "riffle, cobbles", "Invented."},
      {"Q02", "Stepping stones", kStem, "stream", 5.5, -6, {}, 4, "riffle, cobbles", "Invented."},
      {"Q03", "Above the pumping station", kStem, "stream", 8.8, 5, {}, 3, "riffle, gravel", "Invented."},
      {"Q04", "Below the pumping station", kStem, "stream", 9.85, 7, {}, 3, "riffle, gravel", "Invented."},
      {"Q05", "Cattle bridge", kStem, "stream", 10.9, -9, {}, 8, "glide, gravel and silt", "Invented."},
      {"Q06", "Sallow bend", kStem, "stream", 12.2, 12, {}, 10, "riffle, gravel", "Invented."},
      {"Q07", "Old ford", kStem, "stream", 13.6, -8, {}, 5, "riffle, cobbles", "Invented."},
      {"Q08", "Mill meadow", kStem, "stream", 15.6, 15, {}, 12, "run, gravel", "Invented."},
      {"Q09", "East of the island", kStem, "stream", 18.6, 6, {}, 5, "riffle, cobbles", "Invented."},
      // Tributaries.
      {"E01", "Ellow head", kEllow, "stream", 1.2, 3, {}, 5, "riffle, boulders and moss", "Invented."},
      {"E02", "Ellow foot", kEllow, "stream", 3.6, -5, {}, 5, "riffle, cobbles", "Invented."},
      {"T01", "Above the works", kTarrow, "stream", 1.6, 4, {}, 5, "riffle, cobbles", "Invented."},
      {"T02", "Below the works", kTarrow, "stream", 3.5, -6, {}, 4, "riffle, cobbles", "Invented."},
      {"T03", "Tarrow foot", kTarrow, "stream", 5.2, 8, {}, 6, "run, gravel", "Invented."},
      {"P01",
       "Pellow at the estate",
       kPellow,
       "stream",
       2.2,
       2,
       {},
       5,
       "straightened, concrete edge",
       "Invented."},
      {"P02", "Pellow foot", kPellow, "stream", 4.4, -4, {}, 6, "straightened, silt", "Invented."},
      {"W01", "Orwick above the fields", kOrwick, "stream", 0.8, 5, {}, 7, "riffle, gravel", "Invented."},
      {"W02",
       "Orwick below the fields",
       kOrwick,
       "stream",
       3.8,
       -7,
       {},
       5,
       "run, gravel and silt",
       "Invented."},
      {"M01",
       "Mossop culvert",
       kMossop,
       "stream",
       1.1,
       3,
       {},
       15,
       "run, silt",
       "Invented. Fenced off since 2022.",
       "retired"},
      {"S01", "Sennet copse", kSennet, "stream", 1.4, -4, {}, 5, "riffle, gravel", "Invented."},
      {"S02",
       "Sennet lane",
       kSennet,
       "stream",
       3.1,
       6,
       {},
       10,
       "",
       "Invented. The owner has not answered yet.",
       "proposed"},
      // Still waters, a ditch, a spring.
      {"N01", "Heron pond", "Heron Pond", "pond", 0, 0, PlanePoint{-1400, 3949}, 4, "margin, reeds",
       "Invented."},
      {"N02", "Kiln pond", "Kiln Pond", "pond", 0, 0, PlanePoint{1500, -286}, 6, "margin, bare clay",
       "Invented."},
      {"N03", "Alder pond", "Alder Pond", "pond", 0, 0, PlanePoint{800, -2564}, 5, "margin, alder roots",
       "Invented."},
      {"D01", "Long ditch", "Long Ditch", "ditch", 0, 0, PlanePoint{-1500, -3300}, 8, "duckweed, silt",
       "Invented."},
      {"K01", "Ellow spring", "Ellow Spring", "spring", 0, 0, PlanePoint{1925, 4512}, 5, "seepage, moss",
       "Invented."},
  };
  return all;
}

std::span<const PlacedOutfall> placed_outfalls() {
  static const std::vector<PlacedOutfall> all{
      {"OUT-1", "Tannery works", "trade", kTarrow, 3.15, 4, "1990-01-01", "2021-12-31",
       "Invented. The works closed at the end of 2021."},
      {"OUT-2", "Pumping station overflow", "storm sewage", kStem, 9.6, 5, "1998-01-01", "",
       "Invented. From spring 2022 it spills in dry weather too."},
      {"OUT-3", "Estate road drain", "road drain", kPellow, 1.6, -3, "2005-01-01", "", "Invented."},
      {"OUT-4", "Field drain", "field drain", kOrwick, 2.8, 6, "", "", "Invented."},
      {"OUT-5", "Village treatment works", "treated sewage", kStem, 17.5, -8, "1985-01-01", "", "Invented."},
  };
  return all;
}

std::span<const Pond> ponds() {
  static const std::vector<Pond> all{
      {"Heron Pond",
       {-1400, 4000},
       {{-84, -8},
        {-66, -40},
        {-24, -56},
        {24, -52},
        {68, -36},
        {82, 4},
        {60, 38},
        {16, 50},
        {-32, 44},
        {-70, 28}}},
      {"Kiln Pond",
       {1500, -250},
       {{-48, -16}, {-28, -38}, {12, -42}, {44, -24}, {50, 12}, {24, 34}, {-16, 36}, {-42, 16}}},
      {"Alder Pond",
       {800, -2600},
       {{-60, 4}, {-44, -24}, {-8, -34}, {32, -28}, {58, -6}, {54, 24}, {20, 40}, {-24, 38}, {-50, 24}}},
  };
  return all;
}

std::span<const PieceOfGround> pieces_of_ground() {
  using Form = PieceOfGround::Form;
  constexpr core::PlanePoint kBridge{91, 2575};  // of bends 4 and 5 of the main stream, half way
  static const std::vector<PieceOfGround> all{
      {"Ellow Park",
       "private",
       "Invented. The owner wants nobody there.",
       Form::kArea,
       {{650, 3560}, {950, 3500}, {1250, 3850}, {1200, 4150}, {900, 4150}, {600, 3850}}},
      {"Sallow weir",
       "unsafe",
       "Invented. Deep pool below a weir, undercut banks.",
       Form::kLine,
       {},
       kStem,
       16.1,
       16.9},
      {"Quarrendel road",
       "road",
       "Invented.",
       Form::kLine,
       {{-1700, 2680}, {-900, 2620}, {-250, 2590}, kBridge, {700, 2620}, {1500, 2480}, {2300, 2600}}},
      {"Quarrendel bridge", "bridge", "Invented.", Form::kPoint, {kBridge}},
      {"Lay-by at the bridge", "access", "Invented. Room for two cars.", Form::kPoint, {{150, 2600}}},
      {"Mill meadow gate", "access", "Invented. Ask at the mill.", Form::kPoint, {{150, -2350}}},
      {"Estate gate", "access", "Invented. Open by day.", Form::kPoint, {{1560, 500}}},
      {"Orwick lane end", "access", "Invented.", Form::kPoint, {{-1150, -1800}}},
  };
  return all;
}

}  // namespace brookmark::demo
