# The forecast of bench_engine.c as one would write it in R: vectorised over chunks of trials.
# Usage: Rscript peer_r.R PLAN TRIALS
arguments <- commandArgs(TRUE)
plan <- read.csv(arguments[1], stringsAsFactors = FALSE)
n <- as.numeric(arguments[2])
tau <- 0.1
limits <- c(420, 450)
chunk <- 1e4
n_task <- nrow(plan)
last <- list()
preds <- vector("list", n_task)
for (k in seq_len(n_task)) {
  lanes <- strsplit(plan$crew[k], "+", fixed = TRUE)[[1]]
  after <- Filter(nzchar, strsplit(plan$after[k], "[; ]+")[[1]])
  preds[[k]] <- sort(unique(c(unlist(last[lanes]), match(after, plan$task))))
  for (lane in lanes) last[[lane]] <- k
}
succ <- lapply(seq_len(n_task), function(k) which(vapply(preds, function(p) k %in% p, TRUE)))
order <- integer(0)
while (length(order) < n_task)
  for (k in setdiff(seq_len(n_task), order)) if (all(preds[[k]] %in% order)) order <- c(order, k)
mu <- log(plan$median)
set.seed(1)
finish_all <- numeric(n)
on_path <- z_f <- numeric(n_task)
r_f <- 0
centre <- NULL
for (at in seq(0, n - 1, by = chunk)) {
  m <- min(chunk, n - at)
  r <- rnorm(m)
  z <- start <- end <- vector("list", n_task)
  for (k in order) {
    z[[k]] <- rnorm(m)
    p <- preds[[k]]
    start[[k]] <- if (length(p) == 0) numeric(m) else if (length(p) == 1) end[[p]] else do.call(pmax, end[p])
    end[[k]] <- start[[k]] + exp(mu[k] + plan$sdlog[k] * z[[k]] + tau * r)
  }
  finish <- do.call(pmax, end[lengths(succ) == 0])
  if (is.null(centre)) centre <- mean(finish)
  dev <- finish - centre
  mark <- vector("list", n_task)
  for (k in rev(order)) {
    mark[[k]] <- if (length(succ[[k]]) == 0) end[[k]] == finish else logical(m)
    for (s in succ[[k]]) mark[[k]] <- mark[[k]] | (mark[[s]] & start[[s]] == end[[k]])
    on_path[k] <- on_path[k] + sum(mark[[k]])
    z_f[k] <- z_f[k] + sum(z[[k]] * dev)
  }
  r_f <- r_f + sum(r * dev)
  finish_all[at + seq_len(m)] <- finish
}
v <- mean((finish_all - mean(finish_all))^2)
q <- quantile(finish_all, c(0.5, 0.95), names = FALSE)
cat(sprintf("mean %.3f p50 %.3f p95 %.3f over %.5f %.5f second on path %.4f run effect %.4f of %.4f\n", mean(finish_all),
            q[1], q[2], mean(finish_all > limits[1]), mean(finish_all > limits[2]), on_path[2] / n, (r_f / n)^2 / v,
            sum((z_f / n)^2) / v))
