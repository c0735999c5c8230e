# Usage: Rscript recompute.R [FOLDER ...]     needs nothing but R
holds <- @HOLDS@
column <- "@COLUMN@"; statistic <- "@STATISTIC@"; trials <- @TRIALS@
anticipation <- @ANTICIPATION@; limit <- @LIMIT@; confidence <- @CONFIDENCE@
broken <- c("overflow", "stalled", "clock_jump", "focus_lost", "unplugged")
folders <- commandArgs(trailingOnly = TRUE); if (length(folders) == 0) folders <- "."

of_block <- function(times) {
  times <- sort(times); n <- length(times)
  if (statistic == "mean") return(mean(pmin(times, limit)))
  if (statistic == "median") return(median(times))
  cut <- floor(0.2 * n + 1e-9); mean(times[(cut + 1):(n - cut)])
}
table <- do.call(rbind, lapply(folders, function(folder) {
  t <- read.csv(file.path(folder, "trials.csv"), colClasses = "character")
  t <- t[t$part == "main" & t$outcome != "abandoned", ]
  t <- t[!duplicated(t[c("position", "trial")], fromLast = TRUE), ]
  bad <- sapply(strsplit(t$flags, "+", fixed = TRUE), function(f) any(f %in% broken))
  time <- suppressWarnings(as.numeric(t[[column]]))
  click <- suppressWarnings(as.numeric(t$click_rt_ms))
  hit <- t$outcome == "hit" & !is.na(time) & !is.na(click) & click >= anticipation & !bad
  miss <- t$outcome == "miss" & !bad
  time[miss] <- Inf; t$time <- time; t <- t[hit | miss, ]
  do.call(rbind, lapply(split(t, as.integer(t$position)), function(b) {
    if (2 * nrow(b) < trials) return(NULL)
    data.frame(session = folder, cycle = paste(folder, b$cycle[1]), position = as.numeric(b$position[1]),
               hold = b$condition[1], y = of_block(b$time))
  }))
}))
table <- table[is.finite(table$y), ]
table$hold <- factor(table$hold, levels = holds)
form <- if (length(folders) > 1) y ~ 0 + hold + cycle + session:position else y ~ 0 + hold + cycle + position
fit <- lm(form, data = table); b <- coef(fit); v <- vcov(fit); df <- fit$df.residual
for (i in 1:(length(holds) - 1)) for (j in (i + 1):length(holds)) {
  p <- paste0("hold", holds[c(i, j)]); d <- b[p[1]] - b[p[2]]
  se <- sqrt(v[p[1], p[1]] + v[p[2], p[2]] - 2 * v[p[1], p[2]])
  half <- qt((1 + confidence) / 2, df) * se
  cat(holds[i], holds[j], sprintf("%.6f", d), sprintf("%.6f", se), df, sprintf("%.6f", d - half),
      sprintf("%.6f", d + half), sprintf("%.6f", 2 * pt(-abs(d / se), df)), "\n")
}
