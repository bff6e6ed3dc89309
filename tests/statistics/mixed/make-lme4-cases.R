# Writes lme4-cases.json: mixed models with one and two levels, unbalanced and singular, fitted by lme4 and lmerTest.
# Rscript make-lme4-cases.R   (R 4.2.2, lme4 1.1.31, lmerTest 3.1.3)
suppressPackageStartupMessages({ library(lme4); library(lmerTest); library(jsonlite) })
tight <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhoend = 1e-10, maxfun = 2e5), calc.derivs = FALSE, check.conv.singular = "ignore")
simulate <- function(seed, clients, sdc, sdcs, sds, sdss, noise, drop) {
  set.seed(seed)
  rows <- do.call(rbind, lapply(seq_len(clients), function(c) {
    b <- rnorm(1, 0, sdc); bs <- rnorm(1, 0, sdcs)
    do.call(rbind, lapply(seq_len(sample(1:4, 1)), function(s) {
      k <- sample(2:6, 1); t <- sort(round(runif(k, 0, 12), 1))
      data.frame(client = paste0("c", c), series = paste0("s", s), t = t,
        y = round(3 + b + rnorm(1, 0, sds) + (-0.15 + bs + rnorm(1, 0, sdss)) * t + rnorm(k, 0, noise), 2))
    }))
  }))
  rows[runif(nrow(rows)) > drop, ]
}
describe <- function(name, data, formula, REML, model, profile = FALSE) {
  m <- suppressWarnings(suppressMessages(lmerTest::lmer(formula, data, REML = REML, control = tight)))
  s <- suppressWarnings(coef(summary(m)))
  vc <- VarCorr(m)
  out <- list(name = name, model = model, REML = REML, data = as.list(data), singular = isSingular(m),
    fixed = unname(fixef(m)), se = unname(sqrt(diag(as.matrix(vcov(m))))), df = unname(s[, "df"]),
    covariances = lapply(vc, function(v) unname(matrix(as.numeric(v), nrow(v)))), residual = sigma(m), logLik = as.numeric(logLik(m)),
    ranef = lapply(ranef(m, condVar = FALSE), function(r) list(labels = rownames(r), values = unname(as.matrix(r)))))
  if (profile) {
    ci <- suppressWarnings(suppressMessages(confint(m, method = "profile", parm = "beta_", quiet = TRUE)))
    out$profile <- unname(as.matrix(ci))
  }
  out
}
one <- simulate(11, 15, 1, 0.08, 0, 0, 0.5, 0.1); one$series <- NULL
two <- simulate(12, 25, 0.9, 0.06, 0.6, 0.05, 0.4, 0.15)
flat <- simulate(3, 12, 0, 0, 0.7, 0, 0.8, 0)
data(Pastes, package = "lme4")
pastes <- data.frame(client = as.character(Pastes$batch), series = as.character(Pastes$cask), y = Pastes$strength)
cases <- list(
  describe("one level, unbalanced, correlated slope", one, y ~ t + (1 + t | client), TRUE, list(random = c("(Intercept)", "t"), correlated = TRUE), TRUE),
  describe("one level, slope alone, ML", one, y ~ t + (0 + t | client), FALSE, list(random = list("t"), correlated = TRUE)),
  describe("pastes: casks in batches", pastes, y ~ 1 + (1 | client/series), TRUE, list(random = list("(Intercept)"), outerRandom = list("(Intercept)")), TRUE),
  describe("series' slopes within clients' intercepts", two, y ~ t + (1 | client) + (1 + t | client:series), TRUE, list(random = c("(Intercept)", "t"), outerRandom = list("(Intercept)"))),
  describe("slopes at both levels", two, y ~ t + (1 + t | client) + (1 + t | client:series), TRUE, list(random = c("(Intercept)", "t"), outerRandom = c("(Intercept)", "t"))),
  describe("slopes at both levels, ML", two, y ~ t + (1 + t | client) + (1 + t | client:series), FALSE, list(random = c("(Intercept)", "t"), outerRandom = c("(Intercept)", "t"))),
  describe("uncorrelated at both levels", two, y ~ t + (1 + t || client) + (1 + t || client:series), TRUE, list(random = c("(Intercept)", "t"), outerRandom = c("(Intercept)", "t"), correlated = FALSE)),
  describe("nothing between clients: singular", flat, y ~ t + (1 | client) + (1 + t | client:series), TRUE, list(random = c("(Intercept)", "t"), outerRandom = list("(Intercept)"))))
write(toJSON(cases, digits = 12, auto_unbox = TRUE, na = "null"), "lme4-cases.json")
