"""How far a prediction of the air may lie off, and what results measured at the work say of that."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety.formulas import formula
from safety.formulas.basis import Values, above_zero
from safety.words import say

#: The normal quantile of 95 %.
Z95 = 1.6448536269514722
#: Spread of results from day to day where few are known: Buringh & Lanting, American Industrial Hygiene Association
#: Journal 52 (1991), abstract: "a GSD of 2.7 seems a reasonable estimate".
FEW_RESULTS = 2.7
#: Deviates as far as which the error is followed, and how finely.
_FARTHEST, _POINTS = 12.0, 9601
#: Widths of the model error as geometric standard deviations, upward and downward: our judgement, see docs/engine.md.
GUESSED = (2.0, 5.0)
MEASURED = (1.7, 1.7)
_WIDTHS = "upper and lower half of a lognormal model error; the widths in use are ours, see docs/engine.md"


@formula(gives="number", source=_WIDTHS, deviate="number", gsd_up="number")
def model_error(deviate: Values, gsd_up: Values = GUESSED[0]) -> Values:
    """Factor by which the air may lie above what a model predicts, for one normal deviate.

    f = gsd_up^z for z above 0, else 1

    deviate z [1], standard normal; gsd_up [1], geometric standard deviation upward, 1 or over. Returns [1]: half of
    the draws lie on the prediction, for not knowing must not make a 95th percentile milder. How far it may lie
    below, lower_end says. Raises ValueError for a geometric standard deviation under 1.

    >>> print(round(float(model_error(1.645)), 2), float(model_error(-1.645)))
    3.13 1.0
    """
    _spread(gsd_up=gsd_up)
    return np.asarray(gsd_up) ** np.maximum(deviate, 0.0)


@formula(
    gives="air_share|concentration",
    source=_WIDTHS + "; independent errors add up as the squares of their logarithms",
    low="air_share|concentration",
    middle="air_share|concentration",
    gsd_down="number",
)
def lower_end(low: Values, middle: Values, gsd_down: Values = GUESSED[1]) -> Values:
    """What 5 of 100 cases stay below, once the error of the model itself is counted.

    low' = m * exp(-sqrt(ln(m/low)^2 + (1.645 ln gsd_down)^2)), m the middle

    low: 5th percentile of the prediction without that error, and its middle, both as shares of the air [1] or both
    [kg/m3]; gsd_down [1], geometric standard deviation downward, 1 or over. Returns their unit. Raises ValueError
    for a low or middle of zero, or a geometric standard deviation under 1.

    >>> print(round(float(lower_end(40e-6, 100e-6, 5.0)) * 1e6, 1))  # ppm
    6.1
    """
    above_zero(low=low, middle=middle)
    _spread(gsd_down=gsd_down)
    own = np.log(np.asarray(middle) / low)
    return middle * np.exp(-np.hypot(own, Z95 * np.log(gsd_down)))


@formula(
    gives="number",
    source="Bayes' theorem on the logarithm (Brand & Small, Risk Analysis 15, 1995); a prediction as the prior (Hewett "
    "et al., J. Occup. Environ. Hyg. 3, 2006, 568-581); spread of few results: Buringh & Lanting 1991",
    unverified="the abstracts were read, not the papers; the prior of two half lognormals is ours",
    share="fraction",
    results="number, ...",
    below="number, ...",
    gsd_up="number",
    gsd_down="number",
    gsd_results="number",
)
def updated_error(
    share: Values,
    results: Sequence[float],
    below: Sequence[float] = (),
    gsd_up: float = GUESSED[0],
    gsd_down: float = GUESSED[1],
    gsd_results: float = FEW_RESULTS,
) -> Values:
    """Factor between the true air and a prediction, once results were measured: a quantile of what is then believed.

    p(t | results) ~ prior(t) * product of N(ln r; t, ln gsd_results) * product of Phi((ln b - t)/ln gsd_results),
    t = ln factor; prior: a half lognormal of gsd_up above 1 and one of gsd_down below

    share [1] of what is believed that lies below; results r, each over the middle of the prediction [1]; below b:
    detection limits over that middle where nothing was found. Returns [1]. With one width up and down and
    nothing below detection it is the conjugate normal: the weights of prior and results are one over their
    variances. Raises ValueError for a result of zero, a width under 1 or a share not between 0 and 1.

    >>> print([round(float(updated_error(share, [0.2, 0.3, 0.25])), 2) for share in (0.5, 0.95)])
    [0.29, 0.75]
    """
    for one in (*results, *below):
        above_zero(results=one)
    _spread(gsd_up=gsd_up, gsd_down=gsd_down)
    if not np.all((np.asarray(share) > 0) & (np.asarray(share) < 1)):
        raise ValueError(say("{name} must lie between 0 and 1", name="share"))
    deviate = np.linspace(-_FARTHEST, _FARTHEST, _POINTS)
    log = np.where(deviate > 0, np.log(gsd_up), np.log(gsd_down)) * deviate
    spread = np.log(gsd_results)
    belief = -(deviate**2) / 2
    for one in results:
        belief -= ((np.log(one) - log) / spread) ** 2 / 2
    if len(below):
        from scipy.special import log_ndtr  # loading it costs more than the rest of a short sheet

        for one in below:
            belief += log_ndtr((np.log(one) - log) / spread)
    weight = np.exp(belief - belief.max())
    below_each = np.concatenate([[0.0], np.cumsum((weight[1:] + weight[:-1]) / 2)])
    return np.exp(np.interp(share, below_each / below_each[-1], log))[()]


def _spread(**inputs: Values) -> None:
    for name, value in inputs.items():
        if not np.all(np.asarray(value) >= 1):
            raise ValueError(say("{name} cannot be under 1", name=name))
