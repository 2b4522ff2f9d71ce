"""The fixed vocabulary of protocols: the named calculations and what each one takes."""

from attrs import frozen


@frozen
class Signature:
    """What a calculation takes from its ``[[derived]]`` table."""

    about: str
    inputs: tuple[int, int | None] = (0, 0)
    """The least and the largest number of inputs; no largest where any number will do."""
    conditions: tuple[str, ...] = ()
    parameters: tuple[str, ...] = ()
    table: str = ""
    """``points`` or ``rows`` where the calculation needs such a table."""


CALCULATIONS = {
    "sum": Signature("the sum of all inputs", inputs=(1, None)),
    "mean": Signature("the mean of all inputs", inputs=(1, None)),
    "difference": Signature("the first input minus the second", inputs=(2, 2)),
    "absolute-difference": Signature("how far apart two inputs are", inputs=(2, 2)),
    "side-difference": Signature("how far left and right are apart", inputs=(1, 1)),
    "body-mass-index": Signature("mass in kg and height in cm, in kg/m²", inputs=(2, 2)),
    "points": Signature("the points of all conditions that hold", table="points"),
    "lookup": Signature("the value of the first row that holds", table="rows"),
    "iwgdf-risk": Signature(
        "the IWGDF foot risk category, 0 to 3",
        conditions=("loss-of-sensation", "artery-disease", "deformity", "history"),
    ),
    "limb-length-lift": Signature(
        "the lift under a shorter limb, in mm",
        inputs=(1, 1),
        conditions=("this-side-is-shorter", "linked-symptom"),
        parameters=("fraction", "ignore-below-mm"),
    ),
    "relative-stiffness": Signature(
        "the stiffness of a shell for its patient, over that of a reference shell for a reference"
        " patient; inputs: mass in kg and thickness in mm",
        inputs=(2, 2),
        parameters=(
            *("modulus-mpa", "width-mm", "span-mm"),
            *("reference-modulus-mpa", "reference-width-mm", "reference-span-mm"),
            *("reference-thickness-mm", "reference-mass-kg"),
        ),
    ),
}
