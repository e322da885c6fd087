"""Writes the rows of spectra_lab_d50.csv (pip install colour-science==0.4.7). Run once by hand; no test needs it."""

import colour
import numpy as np
from colour.colorimetry import sd_to_XYZ_tristimulus_weighting_factors_ASTME308 as weighted

OBSERVER = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
D50 = colour.SDS_ILLUMINANTS["D50"]
GRIDS = [(380, 730, 10), (360, 780, 10), (400, 700, 10), (380, 720, 20), (400, 700, 20), (360, 780, 20)]


def edge(nm, at, width):
    return 1 / (1 + np.exp(-(nm - at) / width))


def hump(nm, at, width):
    return np.exp(-(((nm - at) / width) ** 2) / 2)


# Invented, smooth, of the kinds that print meets; a few have edges as steep as a filter's.
SPECTRA = {
    "perfect diffuser": lambda nm: np.ones_like(nm),
    "grey half": lambda nm: np.ones_like(nm) * 0.5,
    "black two percent": lambda nm: np.ones_like(nm) * 0.02,
    "paper white": lambda nm: 0.55 + 0.33 * edge(nm, 405, 8),
    "paper bluish": lambda nm: 0.4 + 0.45 * edge(nm, 410, 6) + 0.12 * hump(nm, 445, 15),
    "yellow solid": lambda nm: 0.04 + 0.84 * edge(nm, 505, 12),
    "orange solid": lambda nm: 0.04 + 0.82 * edge(nm, 565, 11),
    "red solid": lambda nm: 0.035 + 0.8 * edge(nm, 600, 10),
    "deep red edge": lambda nm: 0.03 + 0.75 * edge(nm, 640, 6),
    "magenta solid": lambda nm: 0.03 + 0.8 * edge(nm, 602, 10) + 0.3 * hump(nm, 430, 35),
    "violet solid": lambda nm: 0.03 + 0.35 * hump(nm, 435, 28) + 0.5 * edge(nm, 690, 12),
    "deep blue": lambda nm: 0.02 + 0.28 * hump(nm, 450, 25),
    "blue": lambda nm: 0.04 + 0.5 * hump(nm, 460, 35),
    "cyan solid": lambda nm: 0.04 + 0.62 * hump(nm, 475, 48),
    "turquoise": lambda nm: 0.03 + 0.6 * hump(nm, 500, 35),
    "green solid": lambda nm: 0.03 + 0.55 * hump(nm, 525, 32),
    "leaf green": lambda nm: 0.04 + 0.45 * hump(nm, 545, 30) + 0.4 * edge(nm, 700, 15),
    "band pass 480-520": lambda nm: 0.02 + 0.9 * edge(nm, 480, 3) * (1 - edge(nm, 520, 3)),
    "band pass 560-600": lambda nm: 0.02 + 0.9 * edge(nm, 560, 3) * (1 - edge(nm, 600, 3)),
    "band stop 540-580": lambda nm: 0.9 - 0.85 * edge(nm, 540, 4) * (1 - edge(nm, 580, 4)),
    "brown": lambda nm: 0.05 + 0.2 * edge(nm, 590, 25),
    "skin": lambda nm: 0.2 + 0.4 * edge(nm, 590, 30) + 0.05 * hump(nm, 510, 20),
    "rising line": lambda nm: 0.1 + 0.8 * (nm - 360) / 420,
    "falling line": lambda nm: 0.9 - 0.8 * (nm - 360) / 420,
}


def xyz(nm, reflectance):
    return weighted(colour.SpectralDistribution(dict(zip(nm, reflectance))), OBSERVER, D50)


for at, (name, shape) in enumerate(SPECTRA.items()):
    for start, end, interval in [GRIDS[0], GRIDS[1 + (at + 2 * (at % 2)) % 5]]:
        nm = np.arange(start, end + 1, interval).astype(float)
        reflectance = np.round(np.clip(shape(nm), 0, 1), 5)
        found, white = xyz(nm, reflectance), xyz(nm, np.ones_like(nm))
        lab = colour.XYZ_to_Lab(found / 100, colour.XYZ_to_xy(white / 100))
        figures = ",".join(f"{v + 0:.4f}" for v in [*found, *lab])
        print(f"{name},{start},{interval},{' '.join(f'{v:g}' for v in reflectance)},{figures}")
