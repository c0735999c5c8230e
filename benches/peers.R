# The same mixed model by lme4, on the file that the bench has written.
# usage: peers.R FOLDER
folder <- commandArgs(trailingOnly = TRUE)[1]
suppressMessages(library(lme4))
table <- read.csv(file.path(folder, "players.csv"))
least <- min(replicate(3, system.time(
  fit <- lmer(y ~ hold + (hold | player), table, REML = TRUE)
)[["elapsed"]]))
cat(sprintf("%-11s %10.2f ms  %s\n", "lme4", least * 1e3,
            "lmer, 200 players x 600 trials, random intercept and slope"))
