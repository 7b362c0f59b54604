"""Rigid parts of the craft: their shapes, masses and drag areas, and what was measured instead."""

from __future__ import annotations

from typing import Annotated, Final, Literal, final

from pydantic import Field

from sim.spec.drag_area import DragArea, bluff_drag_area_m2
from sim.spec.neck import HingedNeck, Neck
from sim.spec.place import Place
from sim.spec.quantity import Quantity, Uncertain
from sim.spec.strict import PlacedFault, SectionView, StrictSpec, Unlisted

Direction = Literal["forward", "right", "up"]
Shape = Literal[
    "point",
    "rod",
    "tube",
    "box",
    "disc",
    "cylinder",
    "sphere",
    "spherical_shell",
    "hemispherical_shell",
    "panel",
]

HEAVIEST_KG: Final = 100.0
Mass = Annotated[Uncertain, Quantity("mass", least=0.0, most=HEAVIEST_KG, uncertain=True)]
SolidMass = Annotated[Uncertain, Quantity("mass", above=0.0, most=HEAVIEST_KG, uncertain=True)]
Size = Annotated[float, Quantity("length", above=0.0, most=10.0)]
Inertia = Annotated[Uncertain, Quantity("inertia", above=0.0, most=1000.0, uncertain=True)]
Period = Annotated[Uncertain, Quantity("time", above=0.0, most=60.0, uncertain=True)]
Throttle = Annotated[Uncertain, Quantity("share", above=0.0, most=1.0, uncertain=True)]
Area = Annotated[float, Quantity("area", least=0.0, most=20.0)]

NEEDED_SIZES: Final[dict[str, tuple[str, ...]]] = {
    "point": (),
    "rod": ("length",),
    "tube": ("length", "radius", "inner_radius"),
    "box": ("size",),
    "disc": ("radius",),
    "cylinder": ("length", "radius"),
    "sphere": ("radius",),
    "spherical_shell": ("radius",),
    "hemispherical_shell": ("radius",),
    "panel": ("length", "width"),
}
ALLOWED_SIZES: Final[dict[str, tuple[str, ...]]] = {"rod": ("radius",)}
SHAPES_WITHOUT_AXIS: Final = frozenset({"point", "box", "sphere", "spherical_shell"})
SIZE_KEYS: Final = ("length", "radius", "inner_radius", "width", "size")


@final
class BoxSize(StrictSpec):
    """Full size of a box along each direction."""

    forward_m: Size = Field(alias="forward")
    right_m: Size = Field(alias="right")
    up_m: Size = Field(alias="up")

    @property
    def sides_m(self) -> tuple[float, float, float]:
        """Give the three sides.

        Returns
        -------
        tuple of float
            [m] Along forward, right, up.
        """
        return (self.forward_m, self.right_m, self.up_m)


@final
class DragAreas(StrictSpec):
    """Drag coefficient times area for air that comes along each direction."""

    forward_m2: Area = Field(alias="forward")
    right_m2: Area = Field(alias="right")
    up_m2: Area = Field(alias="up")


class PartSpec(StrictSpec):
    """One rigid part, at the place of its own centre of mass.

    `along` is the axis of symmetry (of a rod, tube, disc, cylinder), the normal of a panel, or the
    direction in which a hemispherical shell bulges. A panel's length runs along the first of
    forward, right, up that is not its normal, its width along the other. The centre of mass of a
    hemispherical shell stands half a radius from its rim plane. Sizes that a shape does not have
    are zero.

    Attributes
    ----------
    mass_kg : Uncertain
        [kg] May be zero for something that only catches wind.
    place : Place
        Of the part's centre of mass.
    length_m, radius_m, inner_radius_m, width_m : float
        [m] Sizes, by shape.
    size_m : BoxSize or None
        Of a box.
    """

    name: str = Field(min_length=1, max_length=80, strict=True)
    shape: Shape
    mass_kg: Mass = Field(alias="mass")
    place: Place
    along: Direction = Field(
        "up", description="axis of the shape; a hemispherical shell bulges that way"
    )
    length_m: Annotated[Size, Unlisted()] = Field(0.0, alias="length")
    radius_m: Annotated[Size, Unlisted()] = Field(0.0, alias="radius")
    inner_radius_m: Annotated[Size, Unlisted()] = Field(0.0, alias="inner_radius")
    width_m: Annotated[Size, Unlisted()] = Field(0.0, alias="width")
    size_m: Annotated[BoxSize | None, Unlisted()] = Field(None, alias="size")
    drag_area_given: DragAreas | None = Field(
        None,
        alias="drag_area",
        description="worked out from the shape with bluff-body drag coefficients",
    )

    @classmethod
    def faults_between(cls, view: SectionView) -> list[PlacedFault]:
        """Check that the sizes are those of the shape.

        Parameters
        ----------
        view : SectionView
            The part as far as it can be read.

        Returns
        -------
        list of PlacedFault
            Sizes that are missing or that the shape does not have.
        """
        shape = view.get("shape")
        if not isinstance(shape, str):
            return []
        needed = NEEDED_SIZES[shape]
        allowed = (*needed, *ALLOWED_SIZES.get(shape, ()))
        faults: list[PlacedFault] = [
            ((), f"a {shape} needs '{key}'") for key in needed if view.lacks(key)
        ]
        faults += [
            ((key,), f"a {shape} has no '{key}'")
            for key in SIZE_KEYS
            if view.gives(key) and key not in allowed
        ]
        inner, outer = view.get("inner_radius"), view.get("radius")
        if inner is not None and outer is not None and inner >= outer > 0.0:
            faults.append((("inner_radius",), "must be less than the (outer) radius"))
        return faults

    @property
    def sides_m(self) -> tuple[float, float, float]:
        """Give the sides of a box.

        Returns
        -------
        tuple of float
            [m] Along forward, right, up; zeros when the part is no box.
        """
        return self.size_m.sides_m if self.size_m is not None else (0.0, 0.0, 0.0)

    @property
    def drag_area_m2(self) -> DragArea:
        """Give drag coefficient times area for air along each direction.

        Returns
        -------
        tuple of float
            [m2] For air along forward, right, up: as given, else from the shape.
        """
        given = self.drag_area_given
        if given is not None:
            return (given.forward_m2, given.right_m2, given.up_m2)
        return bluff_drag_area_m2(
            self.shape,
            self.along,
            length_m=self.length_m,
            radius_m=self.radius_m,
            width_m=self.width_m,
            sides_m=self.sides_m,
        )

    def without_meaning(self) -> frozenset[str]:
        """Say that a shape without an axis does not mind `along`, nor a point its drag area.

        Returns
        -------
        frozenset of str
            Field names.
        """
        if self.shape == "point":
            return frozenset({"along", "drag_area_given"})
        return frozenset({"along"} if self.shape in SHAPES_WITHOUT_AXIS else ())

    def worked_out(self) -> dict[str, str]:
        """Give the drag areas that the shape implies.

        Returns
        -------
        dict[str, str]
            By field name.
        """
        forward, right, up = self.drag_area_m2
        return {"drag_area_given": f"forward {forward:.3g}, right {right:.3g}, up {up:.3g} m2"}


@final
class HeadSpec(PartSpec):
    """The head: a heavy part on a neck, rigid or hinged.

    Attributes
    ----------
    neck : "rigid" or HingedNeck
        With a hinge, `place` is where the head stands while the neck is straight.
    """

    neck: Neck = Field("rigid", description="the neck does not bend")

    @classmethod
    def faults_between(cls, view: SectionView) -> list[PlacedFault]:
        """Check the sizes as of any part, and that a neck that bends carries something.

        Parameters
        ----------
        view : SectionView
            The head as far as it can be read.

        Returns
        -------
        list of PlacedFault
            Those of a part, and those of a hinge with nothing on it.
        """
        faults = super().faults_between(view)
        mass, place, neck = view.get("mass"), view.get("place"), view.get("neck")
        if not isinstance(neck, HingedNeck):
            return faults
        if isinstance(mass, Uncertain) and mass.value <= 0.0:
            faults.append((("mass",), "must be more than 0 kg on a neck that bends"))
        on_pivot = isinstance(place, Place) and place.body_m == neck.pivot.body_m
        if on_pivot and view.get("shape") == "point":
            text = "is that of the neck's pivot: a point there has nothing to turn; give it a shape"
            faults.append((("place",), text))
        return faults


@final
class MeasuredInertia(StrictSpec):
    """Moments of inertia about the centre of gravity, principal in body axes."""

    roll_kg_m2: Inertia = Field(alias="roll")
    pitch_kg_m2: Inertia = Field(alias="pitch")
    yaw_kg_m2: Inertia = Field(alias="yaw")


@final
class SwingAxis(StrictSpec):
    """One bifilar swing: the craft on two vertical strings, turning about the named axis."""

    period_s: Period = Field(alias="period")
    string_length_m: Size = Field(alias="string_length")
    string_spacing_m: Size = Field(alias="string_spacing")


@final
class SwingSpec(StrictSpec):
    """Bifilar swings about each axis of the craft."""

    roll: SwingAxis
    pitch: SwingAxis
    yaw: SwingAxis


@final
class HoverReadings(StrictSpec):
    """Hover throttle as read with the fabric on and off, same pack at the same charge.

    Attributes
    ----------
    with_fabric, without_fabric : Uncertain
        [-] A reading without a spread counts as good to one point of a hundred.
    """

    with_fabric: Throttle
    without_fabric: Throttle


@final
class MeasuredSpec(StrictSpec):
    """What was measured on the whole craft without its fabric, in place of the sum of parts."""

    mass_kg: Annotated[SolidMass | None, Unlisted()] = Field(None, alias="mass")
    centre: Annotated[Place | None, Unlisted()] = Field(None)
    inertia: Annotated[MeasuredInertia | None, Unlisted()] = Field(None)
    swing: Annotated[SwingSpec | None, Unlisted()] = Field(None)
    hover_throttle: Annotated[HoverReadings | None, Unlisted()] = Field(None)

    @classmethod
    def faults_between(cls, view: SectionView) -> list[PlacedFault]:
        """Check that the inertia is given once and that a body can have it.

        Parameters
        ----------
        view : SectionView
            The section as far as it can be read.

        Returns
        -------
        list of PlacedFault
            At most two.
        """
        faults: list[PlacedFault] = []
        if view.gives("inertia") and view.gives("swing"):
            faults.append((("swing",), "give either inertia or swing, not both"))
        inertia = view.get("inertia")
        if isinstance(inertia, MeasuredInertia):
            moments = (inertia.roll_kg_m2, inertia.pitch_kg_m2, inertia.yaw_kg_m2)
            small, middle, large = sorted(moment.value for moment in moments)
            if large > (small + middle) * (1.0 + 1e-9):
                text = (
                    f"no body has moments {small:.4g}, {middle:.4g}, {large:.4g} kg m2: the largest"
                    " is at most the sum of the other two; look for swapped axes or units"
                )
                faults.append((("inertia",), text))
        return faults
