"""Figures of the learning tests by general libraries: scikit-learn's scores, numpy's linear algebra, scipy's optimiser.

Without arguments the answers are written to answers.csv; with --check they are compared with those kept.
"""

import csv
import pathlib
import sys

import numpy as np
from scipy.optimize import minimize, minimize_scalar
from sklearn.metrics import brier_score_loss, confusion_matrix

HERE = pathlib.Path(__file__).parent
WORDS = ["ready", "marginal", "blocked"]
PRIOR_SD = 0.3


def rows(name):
    with open(HERE / name, newline="") as file:
        return list(csv.DictReader(file))


def scores(answers):
    sites = rows("sites.csv")
    ready = np.array([site["found"] == "ready" for site in sites], float)
    said = np.array([float(site["probability_ready"]) for site in sites])
    answers["brier"] = brier_score_loss(ready, said)
    answers["brier of base"] = brier_score_loss(ready, np.full_like(said, ready.mean()))
    counts = confusion_matrix([site["said"] for site in sites], [site["found"] for site in sites], labels=WORDS)
    for one, line in zip(WORDS, counts):
        for other, count in zip(WORDS, line):
            answers[f"confusion {one} {other}"] = float(count)
    priced = [site for site in sites if site["cost_said"] and site["cost_found"]]
    low, likely, high, found = (
        np.array([float(site[name]) for site in priced]) for name in ("cost_low", "cost_said", "cost_high", "cost_found")
    )
    bias = found.sum() / likely.sum()
    answers["bias"] = bias
    # The usual standard error of a ratio estimator.
    answers["bias error"] = np.std(found - bias * likely, ddof=1) * np.sqrt(len(found)) / likely.sum()
    answers["median"], answers["p10"], answers["p90"] = np.percentile(found / likely, [50, 10, 90])
    answers["within"] = float(((low <= found) & (found <= high)).sum())
    # The residuals of a ratio of sums add up to nothing, so that spread round their mean is spread round nought.
    assert abs((found - bias * likely).sum()) < 1e-6


def regression(answers):
    lines, found = rows("tasks.csv"), {row["site"]: float(row["hours_found"]) for row in rows("hours.csv")}
    tasks = sorted({line["task"] for line in lines})
    sites = sorted(found)
    said = np.zeros((len(sites), len(tasks)))
    for line in lines:
        said[sites.index(line["site"]), tasks.index(line["task"])] += float(line["hours_said"])
    whole = said.sum(axis=1)
    shares, ratio = said / whole[:, None], np.array([found[site] for site in sites]) / whole

    def surprise(log_noise):
        """Minus the logarithm of the chance of what was found, factors integrated out."""
        spread = PRIOR_SD**2 * shares @ shares.T + np.exp(2 * log_noise) * np.eye(len(sites))
        off = ratio - shares.sum(axis=1)
        return 0.5 * (np.linalg.slogdet(spread)[1] + off @ np.linalg.solve(spread, off))

    noise = np.exp(minimize_scalar(surprise, bounds=(-4, 0), method="bounded", options={"xatol": 1e-10}).x)
    answers["noise"] = noise
    precision = np.eye(len(tasks)) / PRIOR_SD**2 + shares.T @ shares / noise**2
    mean = np.linalg.solve(precision, np.ones(len(tasks)) / PRIOR_SD**2 + shares.T @ ratio / noise**2)
    errors = np.sqrt(np.diag(np.linalg.inv(precision)))
    for task, factor, error in zip(tasks, mean, errors):
        answers[f"factor {task}"], answers[f"error {task}"] = factor, error


def pair(answers):
    own = rows("pair.csv")[0]
    ready, sites, prior = float(own["ready"]), float(own["sites"]), float(own["prior"])
    before = np.array([float(own["loop"]), float(own["condition"])])

    def surprise(odds):
        """By logarithms of odds, in which the prior of Dirichlet has its mode at the stated weights."""
        weights = 1 / (1 + np.exp(-odds))
        chance = np.prod(1 - weights)
        stated = prior * (before * np.log(weights) + (1 - before) * np.log(1 - weights)).sum()
        return -(ready * np.log(chance) + (sites - ready) * np.log(1 - chance) + stated)

    start = np.log(before / (1 - before))
    best = minimize(surprise, start, method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-12, "maxiter": 10000}).x
    step, curvature = 1e-4, np.zeros((2, 2))
    for i in range(2):
        for j in range(2):
            one, two = np.eye(2)[i] * step, np.eye(2)[j] * step
            corners = surprise(best + one + two) - surprise(best + one - two)
            corners += surprise(best - one - two) - surprise(best - one + two)
            curvature[i, j] = corners / (4 * step**2)
    weights = 1 / (1 + np.exp(-best))
    errors = np.sqrt(np.diag(np.linalg.inv(curvature))) * weights * (1 - weights)
    for name, weight, error in zip(("loop", "condition"), weights, errors):
        answers[f"pair {name}"], answers[f"pair error {name}"] = weight, error


def main():
    answers = {}
    scores(answers)
    regression(answers)
    pair(answers)
    path = HERE / "answers.csv"
    if "--check" in sys.argv[1:]:
        kept = {row["name"]: float(row["value"]) for row in rows("answers.csv")}
        other = [
            name
            for name in sorted(kept.keys() | answers.keys())
            if not np.isclose(kept.get(name, np.nan), answers.get(name, np.nan), rtol=1e-5, atol=1e-7)
        ]
        if other:
            sys.exit(f"answers.csv is not what the libraries say: {', '.join(other)}")
        print(f"{len(kept)} answers are those of the libraries")
        return
    with open(path, "w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["name", "value"])
        writer.writerows([name, repr(float(value))] for name, value in answers.items())


if __name__ == "__main__":
    main()
