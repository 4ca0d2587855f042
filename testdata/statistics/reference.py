"""Reference numbers for the statistics of throws, by general-purpose libraries.

Run by hand (it needs scipy and statsmodels); its output is kept in reference.json, where the tests
read it: `python reference.py > reference.json`.
"""

import json

import numpy as np
import scipy
import statsmodels
from scipy import stats
from statsmodels.stats.power import TTestIndPower

# Welch's own example, in the form of many textbooks, and samples with ties and unlike spread.
SAMPLES = {
    "unlike": (
        [27.5, 21.0, 19.0, 23.6, 17.0, 17.9, 16.9, 20.1, 21.9, 22.6, 23.1, 19.6, 19.0, 21.7, 21.4],
        [27.1, 22.0, 20.8, 23.4, 23.4, 23.5, 25.8, 22.0, 24.8, 20.2, 21.9, 22.1, 22.9, 30.5, 24.4],
    ),
    "ties": ([5.0, 5.2, 5.2, 5.5, 5.1], [5.2, 5.9, 6.1, 5.5]),
    "small": ([12.4, 11.9, 12.8], [13.1, 13.9, 12.9, 14.2]),
}


def compared(a, b):
    welch = stats.ttest_ind(b, a, equal_var=False)
    interval = welch.confidence_interval(0.95)
    rank = stats.mannwhitneyu(a, b, method="asymptotic", use_continuity=True)
    answer = {
        "a": a,
        "b": b,
        "welch_t": welch.statistic,
        "welch_freedom": welch.df,
        "welch_p": welch.pvalue,
        "welch_interval": [interval.low, interval.high],
        "rank_u": rank.statistic,
        "rank_p": rank.pvalue,
    }
    if len(a) < 10:
        exchanged = stats.permutation_test(
            (np.array(a), np.array(b)),
            # As far either way, and not twice the smaller tail, which is scipy's "two-sided".
            lambda x, y, axis: np.abs(np.mean(y, axis=axis) - np.mean(x, axis=axis)),
            n_resamples=np.inf,
            vectorized=True,
            alternative="greater",
        )
        answer["permuted_p"] = exchanged.pvalue
    return answer


def described(x):
    n, m, s = len(x), np.mean(x), np.std(x, ddof=1)
    low, high = stats.t.interval(0.95, n - 1, m, s / np.sqrt(n))
    chi = stats.chi2.ppf([0.975, 0.025], n - 1)
    return {
        "values": x,
        "mean": m,
        "median": np.median(x),
        "sd": s,
        "mean_interval": [low, high],
        "sd_interval": list(s * np.sqrt((n - 1) / chi)),
    }


def lined(y):
    x = np.arange(1, len(y) + 1)
    fit = stats.linregress(x, y)
    return {"values": y, "slope": fit.slope, "start": fit.intercept, "slope_sd": fit.stderr}


POWER = [
    {"effect": d, "each": n, "power": TTestIndPower().power(d, n, 0.05)}
    for d in [0.2, 0.5, 0.8, 1.5]
    for n in [3, 5, 10, 26, 64, 400]
]

print(
    json.dumps(
        {
            "scipy": scipy.__version__,
            "statsmodels": statsmodels.__version__,
            "compared": {name: compared(*s) for name, s in SAMPLES.items()},
            "described": described(SAMPLES["unlike"][0]),
            "line": lined(SAMPLES["unlike"][1]),
            "power": POWER,
        },
        indent=1,
    )
)
