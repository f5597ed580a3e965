// Why: what every screen, report and export says beside a score is worded once.
// Use: for (const char* line : kFieldCautions) ...
#pragma once

namespace brookmark::core {

// Beside every result.
inline constexpr const char* kResultCaution =
    "An invertebrate index is evidence about ecology. It does not say that water is safe to drink, to bathe "
    "in, or "
    "lawful, and it is not a regulator's classification: for those go to the competent authority or a "
    "licensed "
    "laboratory.";

// The same in one line.
inline constexpr const char* kResultCautionShort =
    "Evidence about ecology, not a statement that water is safe to drink, to bathe in, or lawful; not a "
    "regulator's "
    "classification.";

// Before anybody goes out. Common practice; local codes and licensed practice go before them.
inline constexpr const char* kFieldCautions[] = {
    "At the water: deep, fast or cold water; slippery banks; sharp debris; sewage outfalls after rain; "
    "blue-green algae; "
    "ticks.",
    "Working alone: tell someone where you are and agree a time to call back.",
    "Weil's disease and other infections: cover cuts and wash hands.",
    "Get the landowner's permission; follow local law on protected species, licences for handling crayfish "
    "or "
    "amphibians, and biosecurity rules.",
    "Disinfectants are hazardous: follow the label and local codes, and keep them away from water."};

}  // namespace brookmark::core
