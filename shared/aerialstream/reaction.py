"""The reaction of the nozzle at the tip: along, across and square to the ladder, and at its base."""

from aerialstream._core import reaction as core
from aerialstream.results import MANUAL_DECIDES, Note, TipReaction
from aerialstream.units import Need, quantities, quantity, show
from aerialstream.worked import worked

_SIDE_LOAD = Note(
    "caution",
    "A ladder is weakest sideways and in twist. Bring the ladder's centre line to the target "
    "with the turntable before turning the nozzle; open and shut slowly.",
)


def _force_steps(pen, reaction, rotation, shares, forces):
    """The shares of the reaction; square to the ladder only where there is a pitch."""
    # Rounded first: cos 90° leaves dust.
    along, across, square = (pen.number(round(abs(part), 9), digits=4) for part in shares)
    axial, side, in_plane = (pen.of(abs(force), "force", 1) for force in forces)
    whole = pen.of(reaction, "force")
    steps = [
        f"Nozzle {abs(rotation):.4g} deg off the centre line: side share {across}, "
        f"share along the ladder {along}",
        f"Side load = {whole} × {across} = {side}",
        f"Along the ladder = {whole} × {along} = {axial}",
    ]
    if forces[2]:
        steps.append(f"Square to the ladder = {whole} × {square} = {in_plane}")
    return steps


def _moment_step(pen, axial, side, side_moment, extension, offset_left):
    length = pen.of(extension, "length", digits=4)
    if not offset_left:
        return (
            f"Side moment at the base = {pen.of(abs(side), 'force', 1)} × {length}"
            f" = {pen.shown(abs(side_moment), 'moment')}"
        )
    return (
        f"Side moment at the base, with signs = {pen.of(side, 'force', 1)} × {length} - "
        f"{pen.of(axial, 'force', 1)} × {pen.of(offset_left, 'length', digits=4)}"
        f" = {pen.shown(side_moment, 'moment')}"
    )


@quantities(
    reaction=Need("force", "lbf", above=0),
    rotation=Need("angle", "degree", at_least=-180, at_most=180),
    pitch=Need("angle", "degree", at_least=-180, at_most=180),
    extension=Need("length", "foot", above=0),
    offset_left=Need("length", "foot"),
    offset_up=Need("length", "foot"),
)
def reaction_at_tip(
    reaction, *, rotation, extension, pitch="0 deg", offset_left="0 ft", offset_up="0 ft"
):
    """The nozzle's reaction split at the tip of the ladder, and its moments at the base.

    For seeing what turning the nozzle off the ladder's centre line costs. The force acts
    against the stream: side = R cos(pitch) sin(rotation), along = R cos(pitch) cos(rotation),
    square to the ladder in its plane = R sin(pitch); side moment = side × extension, and
    offset_left × along besides where the nozzle sits beside the section axis.

    Takes
      reaction     reaction of the nozzle; any force unit; usual unit lbf; symbol R
      rotation     nozzle off the ladder's centre line, + left; any angle unit; usual unit deg
      extension    ladder from its base to the nozzle; any length unit; usual unit ft; symbol L
      pitch        nozzle up (+) or down (-) from the line of the ladder; usual unit deg
      offset_left  nozzle left (+) of the ladder's section axis; usual unit ft
      offset_up    nozzle on the upper (+) or lower (-) side of that axis; usual unit ft
    Gives
      TipReaction  axial, side, in_plane in lbf, side_moment, in_plane_moment, torsion in
                   lbf·ft, with the signs that its class names; shown to 1 lbf and 1 lbf·ft
    Holds for
      a nozzle that turns first, about an axis square to the ladder, and then pitches; a
      self-levelling platform is another case: see its operator's manual
    How close
      exact statics; nothing dynamic (sweeping, opening fast), no weight, no wind
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  a force or length that cannot be, an angle beyond 180 deg
    Sources
      first_principles_tip_statics
    Check value
      >>> split = reaction_at_tip("505 lbf", rotation="30 deg", extension="75 ft")
      >>> print(show(abs(split.side)), "|", show(abs(split.side_moment)))
      253 lbf | 18,938 lbf·ft
    """
    forces = core.tip_forces_lbf(reaction, rotation, pitch)
    torsion, in_plane_moment, side_moment = core.base_moments_lbf_ft(
        forces, extension, offset_left, offset_up
    )
    axial, side, in_plane = forces
    shares = core.jet_direction(rotation, pitch)
    return TipReaction(
        title="Reaction at the tip",
        reaction=quantity(reaction, "lbf"),
        rotation=quantity(rotation, "degree"),
        pitch=quantity(pitch, "degree"),
        extension=quantity(extension, "foot"),
        axial=quantity(axial, "lbf"),
        side=quantity(side, "lbf"),
        in_plane=quantity(in_plane, "lbf"),
        side_moment=quantity(side_moment, "lbf*foot"),
        in_plane_moment=quantity(in_plane_moment, "lbf*foot"),
        torsion=quantity(torsion, "lbf*foot"),
        steps=worked(
            lambda pen: (
                *_force_steps(pen, reaction, rotation, shares, forces),
                _moment_step(pen, axial, side, side_moment, extension, offset_left),
            )
        ),
        notes=(_SIDE_LOAD, Note("caution", MANUAL_DECIDES)),
        sources=("first_principles_tip_statics",),
    )


reaction_at_tip.plain = core.tip_forces_lbf

__all__ = ["reaction_at_tip", "show"]
