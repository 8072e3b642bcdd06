// The duration model as include/wetrun/model/duration_model.h states it, for Stan; the skew part of every error integrated out,
// common effects and spreads in units of their sd.
data {
  int n_task; int n_run; int n_person; int n_cell; int n_done;
  int task[n_cell]; int run[n_cell];
  vector[n_cell] y;                  // of stopped cells, the last ones, the bound
  matrix[n_cell, n_person] person;
  vector[n_task] plan_dev; vector[n_run] x; real plan_mean; real sigma_least;
}
transformed data { real c0 = sqrt(2 / pi()); }
parameters {
  vector[n_task] mu_unit; vector<lower=0>[n_task] above; // log sigma = log sigma_least + above
  vector[n_run] b_unit; vector[n_person] q_unit;
  real<lower=0, upper=0.8> tau; real<lower=0, upper=0.5> kappa;
  real gamma; real<lower=-0.98, upper=0.98> rho;
  real log_s0; real d; real<lower=0> omega_s; real a; real c; real<lower=0> omega2;
}
transformed parameters {
  real omega = sqrt(omega2);
  real s0 = exp(log_s0);
  vector[n_task] mu = plan_mean + a + c * plan_dev + omega * mu_unit;
  vector[n_task] log_sigma = log(sigma_least) + above;
  vector[n_task] sigma = exp(log_sigma);
  real mean_mu = mean(mu);
  real mean_sigma = mean(sigma);
}
model {
  vector[n_task] scale = sigma / sqrt(1 - c0 * c0 * rho * rho);
  vector[n_cell] place = mu[task] + gamma * x[run] + tau * b_unit[run] + kappa * (person * q_unit) - c0 * rho * scale[task];
  real slope = rho / sqrt(1 - rho * rho);
  mu_unit ~ std_normal();
  b_unit ~ std_normal();
  q_unit ~ std_normal();
  log_sigma ~ normal(log_s0 + d * plan_dev, omega_s);
  for (k in 1:n_task) target += -normal_lccdf(log(sigma_least) | log_s0 + d * plan_dev[k], omega_s);
  tau ~ cauchy(0, 0.10);
  kappa ~ cauchy(0, 0.05);
  gamma ~ double_exponential(0, 0.10 / sqrt2());
  log_s0 ~ normal(log(0.25), 0.5);
  d ~ normal(-0.2, 0.25);
  omega_s ~ normal(0, 0.5);
  a ~ normal(0.1, 0.3);
  c ~ normal(1, 0.25);
  omega2 ~ scaled_inv_chi_square(3, 0.4);
  head(y, n_done) ~ skew_normal(head(place, n_done), scale[task[1:n_done]], slope);
  for (i in (n_done + 1):n_cell) target += skew_normal_lccdf(y[i] | place[i], scale[task[i]], slope);
}
