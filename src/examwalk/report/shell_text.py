"""How stiff a shell is, in words: ratios, and absolute figures only where they are asked for."""

from collections.abc import Iterator
from typing import Any

from examwalk.language import later, say
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import number_words, short_number
from examwalk.reasoning.results import FeatureResult, Summary
from examwalk.reasoning.shell_beam import LASTING_STRESS_SHARE, SMALL_DEFLECTION_SHARE
from examwalk.reasoning.shell_stiffness import NoStiffness, ShellStiffness, shells_of
from examwalk.report.sides import with_side
from examwalk.report.text_lines import paragraph
from examwalk.session.model import Session

_LACKING = {
    "thickness": later("its thickness is not settled."),
    "material": later("its material is not settled, or does not bend like a beam."),
    "mass": later("the body mass is not answered."),
    "limits": later("its thickness or modulus lies outside what the calculation is meant for."),
}
_LIMITS = later(
    "The calculation takes the shell as a flat beam on two supports. A real shell is curved, has a "
    "cup and posts and lies on a shoe, so it is several times stiffer: trust the ratios only, and "
    "only between shells for the same patient."
)


def stiffness_sentences(protocol: Protocol, one: ShellStiffness) -> tuple[str, ...]:
    """Say how a shell compares with the reference, warm too, and with other materials."""
    names = _materials(protocol, one)
    reference = say(
        "the reference ({thickness} mm for {mass} kg)",
        thickness=short_number(one.reference.thickness_mm),
        mass=short_number(one.reference_mass_kg),
    )
    ratio = say(
        "Stiffness for this patient, where {reference} has 1: {ratio}, {band}; warm, if {share} % "
        "of it is left: {warm}.",
        reference=reference,
        ratio=number_words(one.ratio, 0.01),
        band=one.band or say("in no band"),
        share=short_number(one.warm_share * 100),
        warm=number_words(one.warm_ratio, 0.01),
    )
    others = "; ".join(
        say("{material} {thickness} mm", material=names[name], thickness=number_words(mm, 0.1))
        for name, mm in one.equally_stiff
    )
    bent = say(
        "By mass alone, giving as much as the reference: {thickness} mm.",
        thickness=number_words(one.equally_bent_mm, 0.1),
    )
    if not others:
        return ratio, bent
    return ratio, say("As stiff as this one: {materials}.", materials=others), bent


def absolute_sentences(one: ShellStiffness) -> tuple[str, ...]:
    """Say the figures of the beam, which overstate how far a real shell gives."""
    bent = one.bent
    figures = say(
        "Flat beam, {share} % of body weight on the arch ({force} N), {span} mm span, {width} mm "
        "wide: {stiffness} N/mm, gives {deflection} mm, stress {stress} MPa.",
        share=short_number(one.load_share * 100),
        force=number_words(bent.force_n, 0.1),
        span=short_number(one.strip.span_mm),
        width=short_number(one.strip.width_mm),
        stiffness=number_words(one.strip.stiffness_n_per_mm, 0.1),
        deflection=number_words(bent.deflection_mm, 0.1),
        stress=number_words(bent.stress_mpa, 0.1),
    )
    flags = [figures]
    if bent.deflection_share > SMALL_DEFLECTION_SHARE:
        flags.append(
            say("It gives more than a tenth of its span: outside what these formulae hold for.")
        )
    if one.yield_mpa and bent.stress_mpa > LASTING_STRESS_SHARE * one.yield_mpa:
        flags.append(
            say("The stress is over half the yield strength: look for creep and cracks at review.")
        )
    return tuple(flags)


def sentences_for(
    protocol: Protocol, session: Session, summary: Summary, result: FeatureResult
) -> tuple[str, ...]:
    """Return what there is to say of a feature that is the thickness of a shell; else nothing."""
    return tuple(
        sentence
        for one in shells_of(protocol, session, summary)
        if isinstance(one, ShellStiffness) and (one.feature, one.side) == (result.id, result.side)
        for sentence in stiffness_sentences(protocol, one)
    )


def shell_text(
    protocol: Protocol, session: Session, summary: Summary, *, absolute: bool = False
) -> str:
    """Write what can be said of the shells of a visit, ending in a newline."""
    return "\n".join(_lines(protocol, session, summary, absolute=absolute)) + "\n"


def _lines(
    protocol: Protocol, session: Session, summary: Summary, *, absolute: bool
) -> Iterator[str]:
    if any(caution.device.value == "stop" for caution in summary.cautions):
        yield from paragraph(say("A caution stops any device: see the summary first."), "! ")
    shells = shells_of(protocol, session, summary)
    if not shells:
        yield say("This protocol says nothing about the stiffness of a shell.")
    for one in shells:
        heading = with_side(protocol.features_by_id[one.feature].title, one.side)
        if isinstance(one, NoStiffness):
            why = say("no stiffness: {reason}", reason=say(_LACKING[one.lacks]))
            yield from paragraph(f"{heading}: {why}")
            continue
        material = _materials(protocol, one)[one.material]
        state = say("ordered") if one.ordered else say("recommended")
        yield from paragraph(
            f"{heading}: {short_number(one.strip.thickness_mm)} mm {material} ({state})"
        )
        sentences = stiffness_sentences(protocol, one)
        for sentence in (*sentences, *(absolute_sentences(one) if absolute else ())):
            yield from paragraph(sentence, "  ")
    yield ""
    yield from paragraph(say(_LIMITS))
    yield from paragraph(protocol.identity.disclaimer)


def shells_data(
    protocol: Protocol, session: Session, summary: Summary, *, absolute: bool = False
) -> list[dict[str, Any]]:
    """Return the same as plain data."""
    return [_data(one, absolute=absolute) for one in shells_of(protocol, session, summary)]


def _data(one: ShellStiffness | NoStiffness, *, absolute: bool) -> dict[str, Any]:
    data: dict[str, Any] = {"shell": one.shell, "feature": one.feature, "side": one.side.value}
    if isinstance(one, NoStiffness):
        return data | {"ratio": None, "lacks": one.lacks}
    data |= {
        "material": one.material,
        "thickness_mm": one.strip.thickness_mm,
        "ordered": one.ordered,
        "mass_kg": one.mass_kg,
        "ratio": one.ratio,
        "band": one.band,
        "warm_ratio": one.warm_ratio,
        "equally_stiff_mm": dict(one.equally_stiff),
        "equally_bent_mm": one.equally_bent_mm,
    }
    if absolute:
        data["beam"] = {
            "modulus_mpa": one.strip.modulus_mpa,
            "span_mm": one.strip.span_mm,
            "width_mm": one.strip.width_mm,
            "load_share": one.load_share,
            "force_n": one.bent.force_n,
            "stiffness_n_per_mm": one.strip.stiffness_n_per_mm,
            "deflection_mm": one.bent.deflection_mm,
            "stress_mpa": one.bent.stress_mpa,
            "small_deflection": one.bent.deflection_share <= SMALL_DEFLECTION_SHARE,
        }
    return data


def _materials(protocol: Protocol, one: ShellStiffness) -> dict[str, str]:
    shell = next(shell for shell in protocol.shells if shell.id == one.shell)
    options = protocol.features_by_id[shell.material_feature].options
    return {name: options[name].label for name in shell.materials if name in options}
