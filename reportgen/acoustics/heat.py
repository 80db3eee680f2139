"""The power of programme above a frequency, what a rating allows of it, and what a hot coil loses.

Knows a programme as octave-band levels and a high pass in front of a driver.
Refuses to know networks: the watts that reach a coil come in.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from reportgen.acoustics.air import FloatArray
from reportgen.acoustics.slopes import Slope, high_pass_magnitude

COPPER_PER_K = 0.0039
"""Rise of the resistance of copper per kelvin at 20 degC, a share (IEC 60028: 3.93e-3); aluminium has 0.0040."""


def _array(value: ArrayLike) -> FloatArray:
    return np.asarray(value, dtype=np.float64)


def _programme_density(spectrum_hz: ArrayLike, spectrum_db: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Frequencies in equal ratios between the ends of the table, and the share of the power at each."""
    table = _array(spectrum_hz)
    f = np.geomspace(table[0], table[-1], 601)
    density = 10.0 ** (np.interp(np.log(f), np.log(table), _array(spectrum_db)) / 10.0)
    density[[0, -1]] /= 2.0  # rule of trapezia
    return f, np.asarray(density / density.sum())


def programme_share(cutoff_hz: ArrayLike, slope: Slope, spectrum_hz: ArrayLike, spectrum_db: ArrayLike) -> FloatArray:
    """Share of a programme's power that passes a high pass, shape of `cutoff_hz` (Hz, 0 or more); 1 at a cutoff of 0.

    `spectrum_hz`, `spectrum_db` (n,) are octave-band centres in Hz, rising, and levels in dB, any reference: straight
    lines between, no power beyond the ends. Source: an integral, no more.
    """
    f, density = _programme_density(spectrum_hz, spectrum_db)
    with np.errstate(divide="ignore"):
        passed = high_pass_magnitude(slope, f / _array(cutoff_hz)[..., None]) ** 2
    return np.asarray(passed @ density)


@lru_cache(maxsize=32)
def _share_table(
    slope: Slope, spectrum_hz: tuple[float, ...], spectrum_db: tuple[float, ...]
) -> tuple[FloatArray, FloatArray]:
    """Cutoffs in Hz and the share of the programme above each; kept, as a batch asks for few of them many times."""
    cutoff = np.geomspace(spectrum_hz[0] / 64.0, spectrum_hz[-1] * 4.0, 601)
    share = programme_share(cutoff, slope, spectrum_hz, spectrum_db)
    cutoff.flags.writeable = share.flags.writeable = False
    return cutoff, share


def allowed_power_w(
    rated_power_w: ArrayLike,
    rating_high_pass_hz: ArrayLike,
    rating_slope: Slope,
    spectrum_hz: ArrayLike,
    spectrum_db: ArrayLike,
) -> FloatArray:
    """Programme power in W that the driver itself may take, from a rating stated in front of a high pass; broadcasts.

    `rated_power_w` counts the whole programme, of which only the share above the rating's own high pass
    (`rating_high_pass_hz` in Hz, 0: none) reaches the driver. Common practice, no source.
    """
    share = programme_share(rating_high_pass_hz, rating_slope, spectrum_hz, spectrum_db)
    return np.asarray(_array(rated_power_w) * share)


def heat_limit_hz(
    programme_power_w: ArrayLike,
    allowed_power_w: ArrayLike,
    spectrum_hz: ArrayLike,
    spectrum_db: ArrayLike,
    slope: Slope,
) -> FloatArray:
    """Lowest crossover in Hz at which the programme power above it stays within the allowed power; inputs broadcast.

    Powers in W above 0. 0 where the whole programme is allowed, inf where even four times the top of the spectrum is
    too low, nan where an input is nan. Good to 0.1 %. The inverse of `programme_share`.
    """
    cutoff, share = _share_table(slope, tuple(_array(spectrum_hz).tolist()), tuple(_array(spectrum_db).tolist()))
    wanted = _array(allowed_power_w) / _array(programme_power_w)
    with np.errstate(divide="ignore", invalid="ignore"):
        found = np.exp(np.interp(np.log(wanted), np.log(share[::-1]), np.log(cutoff[::-1]), left=np.inf))
    return np.asarray(np.where(np.isnan(wanted), np.nan, np.where(wanted >= share[0], 0.0, found)))


def compression_db(power_w: ArrayLike, resistance_k_per_w: ArrayLike) -> FloatArray:
    """Level in dB that a coil loses once warm, 10 lg(1 + alpha dT), dT = power times thermal resistance; broadcasts.

    `power_w` is the mean power in W in the coil, as if cold, so the loss is rather too large; `resistance_k_per_w`
    the thermal resistance from coil to air in K/W. Holds for copper up to about 200 K.

    >>> round(float(compression_db(40.0, 2.5)), 2)
    1.43
    """
    return np.asarray(10.0 * np.log10(1.0 + COPPER_PER_K * _array(power_w) * _array(resistance_k_per_w)))
