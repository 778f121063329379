"""Our own drawing of a body from the front: its parts, and the codes that each stands for.

Only the half to the right of the middle line is drawn, which is the left of the person; the
other half is its mirror image. Coordinates are (distance from the middle line, height), in
units of the drawing. A part is meant by a finding when one of its codes lies within the place
of the finding or contains it (``lexicon/places``), or when the finding names its level.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from ...lexicon.places import Places

Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Part:
    """One area: ``codes`` of places, the spinal ``level`` if it stands for one, its outline."""

    name: str
    codes: tuple[str, ...]
    points: Points
    level: str | None = None

    @property
    def middle(self) -> tuple[float, float]:
        """The mean of the corners, for a label."""
        xs, ys = zip(*self.points, strict=True)
        return sum(xs) / len(xs), sum(ys) / len(ys)

    def is_meant_by(self, spoken: Sequence[str], places: Places) -> bool:
        """Whether a finding that speaks of the places ``spoken`` speaks of this part."""
        return any(
            code == self.level or any(places.overlap(code, own) for own in self.codes)
            for code in spoken
        )


@dataclass(frozen=True)
class Spot:
    """A place where a reflex is tapped: modality and segment; ``usual`` ones are always drawn."""

    name: str
    modality: str
    segment: str
    x: float
    y: float
    usual: bool = True
    is_midline: bool = False


def _points(text: str) -> Points:
    return tuple((float(x), float(y)) for x, y in (pair.split(",") for pair in text.split()))


def _part(name: str, codes: str, points: str, level: str | None = None) -> Part:
    return Part(name, tuple(codes.split()), _points(points), level)


_HEAD = "0,6 8,8 15,15 19,26 19,38 15,50 8,58 0,61"
_NECK = "0,61 8,58 9,66 12,74 0,77"

#: The body by its muscles and joints.
MUSCLES: tuple[Part, ...] = (
    _part("face", "face tongue", _HEAD),
    _part("neck", "neck", _NECK),
    _part("chest", "spine", "0,77 12,74 29,80 34,92 34,112 31,140 0,140"),
    _part("abdomen", "abdomen", "0,140 31,140 29,160 30,184 0,184"),
    _part("shoulder", "shoulder_girdle", "29,80 41,83 48,93 50,110 36,114 34,92"),
    _part("upper arm", "upper_arm elbow", "36,114 50,110 54,132 55,152 43,154 38,134"),
    _part("forearm", "forearm wrist", "43,155 55,153 60,174 64,201 55,204 47,180"),
    _part(
        "hand",
        "hand finger_flexion finger_extension grip thumb_extension",
        "55,205 64,202 72,212 76,224 72,226 69,222 70,242 65,246 59,242 56,224",
    ),
    _part("hip", "pelvic_girdle", "0,184 30,184 35,202 36,214 18,226 0,218"),
    _part("thigh", "thigh knee", "2,220 18,227 36,215 36,250 30,298 12,298 6,262"),
    _part("lower leg", "leg ankle", "12,300 30,300 32,328 25,384 15,384 11,334"),
    _part("foot", "foot great_toe_extension toe_flexion", "15,386 25,386 37,402 38,410 14,410"),
)

#: Height and half width of the trunk, for the bands of the skin.
_FLANK = ((92, 34), (112, 34), (140, 31), (160, 29), (184, 30))


def _flank(y: float) -> float:
    for (y0, x0), (y1, x1) in pairwise(_FLANK):
        if y <= y1:
            return x0 + (x1 - x0) * (y - y0) / (y1 - y0)
    return float(_FLANK[-1][1])


def _bands() -> tuple[Part, ...]:
    """T3 to T12 from the level of the shoulder to the groin; T10 lies at the navel."""
    height = (184 - 92) / 10
    bands = []
    for number in range(3, 13):
        top = 92 + (number - 3) * height
        bottom = top + height
        outline = ((0.0, top), (_flank(top), top), (_flank(bottom), bottom), (0.0, bottom))
        codes = (f"T{number}", "abdomen") if number >= 8 else (f"T{number}",)
        bands.append(Part(f"trunk T{number}", codes, outline, f"T{number}"))
    return tuple(bands)


#: The skin by spinal level, as far as it is seen from the front.
SKIN: tuple[Part, ...] = (
    _part("face", "face", _HEAD),
    _part("neck", "neck", _NECK, "C3"),
    _part("top of the shoulder", "shoulder_girdle", "0,77 12,74 29,80 41,83 34,92 0,92", "C4"),
    _part("outer upper arm", "lateral_upper_arm", "41,83 48,93 54,132 55,152 49,153 43,118 37,96",
          "C5"),
    _part("inner upper arm", "medial_upper_arm", "34,92 37,96 43,118 49,153 43,154 38,134 35,112",
          "T2"),
    _part("outer forearm", "lateral_forearm wrist", "49,154 55,153 60,174 64,201 60,202", "C6"),
    _part("inner forearm", "medial_forearm elbow", "43,155 49,154 60,202 55,204 47,180", "T1"),
    _part("thumb", "thumb thenar_eminence first_dorsal_interosseous",
          "64,202 72,212 76,224 72,226 67,217 60,203", "C6"),
    _part("middle of the hand", "index_finger middle_finger palm dorsum_of_hand",
          "60,203 67,217 70,242 65,246 62,243 58,220", "C7"),
    _part("little finger side", "ring_finger little_finger hypothenar_eminence",
          "55,205 60,203 58,220 62,243 59,242 56,224", "C8"),
    *_bands(),
    _part("groin", "L1 pelvic_girdle", "0,184 30,184 34,198 0,214", "L1"),
    _part("upper thigh", "anterior_thigh medial_thigh lateral_thigh",
          "0,214 34,198 36,214 36,246 4,246 2,220", "L2"),
    _part("lower thigh and knee", "anterior_thigh medial_thigh knee",
          "4,246 36,246 30,298 12,298 6,262", "L3"),
    _part("inner lower leg", "medial_leg ankle", "12,300 21,300 20,384 15,384 11,334", "L4"),
    _part("outer lower leg", "lateral_leg", "21,300 30,300 32,328 25,384 20,384", "L5"),
    _part("back of the foot", "dorsum_of_foot great_toe", "15,386 21,386 29,410 14,410", "L5"),
    _part("outer foot", "little_toe heel sole", "21,386 25,386 37,402 38,410 29,410", "S1"),
)  # fmt: skip

#: Skin that is not seen from the front: drawn as boxes below the body.
HIDDEN_SKIN: tuple[Part, ...] = (
    _part("back of the head (C2)", "C2", "12,426 30,426 30,436 12,436", "C2"),
    _part("back of thigh and calf (S2)", "S2 posterior_thigh calf",
          "12,440 30,440 30,450 12,450", "S2"),
    _part("perianal (S3 to S5)", "perianal", "12,454 30,454 30,464 12,464"),
)  # fmt: skip

#: Where the reflexes are drawn.
SPOTS: tuple[Spot, ...] = (
    Spot("jaw", "reflex", "jaw_jerk", 0, 54, usual=False, is_midline=True),
    Spot("biceps", "reflex", "biceps_jerk", 43, 134),
    Spot("triceps", "reflex", "triceps_jerk", 57, 156),
    Spot("supinator", "reflex", "supinator_jerk", 55, 184),
    Spot("fingers", "reflex", "finger_jerk", 64, 216, usual=False),
    Spot("Hoffmann", "hoffmann_sign", "none", 66, 238, usual=False),
    Spot("grasp", "grasp_reflex", "none", 46, 226, usual=False),
    Spot("abdominal", "abdominal_reflex", "none", 15, 160, usual=False),
    Spot("cremasteric", "cremasteric_reflex", "none", 12, 206, usual=False),
    Spot("adductors", "reflex", "adductor_jerk", 12, 250, usual=False),
    Spot("knee", "reflex", "knee_jerk", 21, 299),
    Spot("ankle", "reflex", "ankle_jerk", 20, 380),
    Spot("plantar", "plantar_response", "none", 27, 408),
)
