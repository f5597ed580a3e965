# Times the R package vegan on the count matrix that core_bench writes (see core_diversity.cpp), and checks that both
# give the same numbers. Needs r-base-core and r-cran-vegan; no test needs this file.
#   Rscript tests/bench/diversity_vegan.R counts.csv
suppressMessages(library(vegan))
counts <- read.csv(commandArgs(trailingOnly = TRUE)[1])
samples <- unique(counts$sample)
taxa <- sort(unique(counts$taxon))
x <- matrix(0L, length(samples), length(taxa))
x[cbind(match(counts$sample, samples), match(counts$taxon, taxa))] <- counts$count
n <- counts$rarefied_n[1]
time <- system.time({
  richness <- specnumber(x)
  animals <- rowSums(x)
  shannon <- diversity(x)
  simpson <- diversity(x, "simpson")
  inverse <- diversity(x, "invsimpson")
  evenness <- shannon / log(richness)
  margalef <- (richness - 1) / log(animals)
  dominance <- apply(x, 1, max) / animals
  rarefied <- suppressWarnings(rarefy(x, n, se = TRUE))
  estimated <- estimateR(x)
})
wall <- time[["elapsed"]]
cpu <- time[["user.self"]] + time[["sys.self"]]
ours <- counts[match(samples, counts$sample), ]
far <- function(theirs, ours) max(abs(theirs - ours) / pmax(abs(ours), 1), na.rm = TRUE)
kept <- !is.na(ours$rarefied)
cat(sprintf("%d samples, %d taxa, vegan %s: %.2f s, %.0f samples/s; %.2f s of processor, %.0f samples/s\n", nrow(x),
            ncol(x), as.character(packageVersion("vegan")), wall, nrow(x) / wall, cpu, nrow(x) / cpu))
cat(sprintf("greatest difference: shannon %.1e, rarefied %.1e, its se %.1e, chao1 %.1e, its se %.1e\n",
            far(shannon, ours$shannon), far(rarefied["S", kept], ours$rarefied[kept]),
            far(rarefied["se", kept], ours$rarefied_se[kept]), far(estimated["S.chao1", ], ours$chao1),
            far(estimated["se.chao1", ], ours$chao1_se)))
