# Rscript peer_stan.R DATA.R MODEL.stan FOLDER: four chains by Stan, one after the other; CODA files and FOLDER/seconds (of sampling,
# compiling left out).
suppressMessages(library(rstan))
if (system.file("include", package = "BH") == "") rstan_options(boost_lib = "/usr/include")
arg <- commandArgs(trailingOnly = TRUE)
d <- new.env()
sys.source(arg[1], envir = d)
d <- as.list(d)
d$y <- ifelse(is.na(d$y), d$bound, d$y)
model <- stan_model(arg[2])
# Near the data: far from them the tail of a stopped cell has no gradient in Stan's skew normal.
start <- function(chain) list(
  mu_unit = rnorm(d$n_task, 0, 0.3), above = log(25) + rnorm(d$n_task, 0, 0.2), b_unit = rnorm(d$n_run), q_unit = rnorm(d$n_person),
  tau = runif(1, 0.01, 0.1), kappa = runif(1, 0.01, 0.1), gamma = rnorm(1, 0, 0.05), rho = runif(1, -0.5, 0.5),
  log_s0 = log(0.25) + rnorm(1, 0, 0.2), d = rnorm(1, -0.2, 0.1), omega_s = runif(1, 0.1, 0.5), a = rnorm(1, 0.1, 0.1),
  c = rnorm(1, 1, 0.1), omega2 = runif(1, 0.02, 0.2))
set.seed(1)
fit <- sampling(model, init = start, data = d, chains = 4, cores = 1, iter = 2000, warmup = 500, refresh = 0, seed = 1)
names <- c("tau", "kappa", "gamma", "rho", "s0", "d", "omega_s", "a", "c", "omega", "mean_mu", "mean_sigma")
draws <- as.array(fit, pars = names)
n <- dim(draws)[1]
for (chain in 1:4)
  write.table(cbind(1:n, as.vector(draws[, chain, names])), file.path(arg[3], paste0("CODAchain", chain, ".txt")),
              row.names = FALSE, col.names = FALSE)
write.table(data.frame(names, (seq_along(names) - 1) * n + 1, seq_along(names) * n), file.path(arg[3], "CODAindex.txt"),
            row.names = FALSE, col.names = FALSE, quote = FALSE)
cat(sum(get_elapsed_time(fit)), "\n", file = file.path(arg[3], "seconds"))
