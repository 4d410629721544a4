"""The points of the checklist: what a person does and looks at, by a name that the build file can refer to.

Common practice in the trade, no source, except where a line names one.
"""

from __future__ import annotations

from typing import Final

from dossier.frozen import dataclass
from dossier.reader.said import Said

GROUPS: Final = (
    ("before", "Before work"),
    ("cables", "Cables and fuses"),
    ("batteries", "Batteries and storage"),
    ("power", "First power-up"),
    ("measuring", "Measuring and playing"),
    ("handover", "Before handover"),
)
OWN_GROUP: Final = ("own", "Further points")


@dataclass(frozen=True, slots=True)
class Point:
    """One line of the checklist.

    Attributes:
        id: stable name.
        group: key of `GROUPS`.
        words: what has to be so; ``{sources}`` is the number of energy sources.
        when: for which installations: "" = all; else a condition of ``dossier.assessment.proof.checklist``.
    """

    id: str
    group: str
    words: str
    when: str = ""


POINTS: Final = (
    Point("personal", "before", "Rings, watch and chains off; insulated tools; eyes protected."),
    Point(
        "sources_counted", "before", "{sources} on the list of this dossier and the same number found in the vehicle."
    ),
    Point(
        "isolated",
        "before",
        "Isolate before work: negative of the front battery off first, then every other source at its own "
        "terminal, in the order agreed; nobody can reconnect unseen.",
    ),
    Point(
        "airbag_wait",
        "before",
        "Wait before work near airbags and belt tensioners: 3 minutes, or longer where the vehicle maker says"
        " so. Restraint wiring is never probed.",
    ),
    Point(
        "pyrotechnic_terminal",
        "before",
        "A pyrotechnic battery terminal, where the vehicle has one, stays effective: nothing is tapped ahead of it, "
        "and what it opens in a crash is cut off behind it too.",
    ),
    Point(
        "hybrid",
        "before",
        "Hybrid or electric drive: orange cables and the high-voltage battery are left alone; it is isolated as its "
        "maker says, by who is qualified for it; its 12 V comes from a converter with a limit of its own.",
    ),
    Point(
        "lifting",
        "before",
        Said(
            "Lifting: batteries, boxes and amplifiers over 25 kg by two people or with a hoist; batteries upright, "
            "posts covered.",
            us="Lifting: batteries, boxes and amplifiers over 55 lb by two people or with a hoist; batteries upright, "
            "posts covered.",
        ),
    ),
    Point(
        "lithium_isolated",
        "before",
        "Lithium battery isolated at its own terminal; its management is not a disconnect.",
        "lithium",
    ),
    Point(
        "bank_discharged",
        "before",
        "Capacitor bank discharged through its resistor and measured under 1 V; kept bridged by the resistor,"
        " since the voltage recovers.",
        "bank",
    ),
    Point("dead_downstream", "before", "Downstream of every terminal or switch that was opened: under 1 V, measured."),
    Point(
        "drilling",
        "before",
        "Looked behind the panel before every hole: fuel, brake lines, looms, orange high-voltage cables.",
    ),
    Point(
        "fuse_distance",
        "cables",
        "Fuse close to its source, at every source: distance along the conductor measured and as in the schedule.",
    ),
    Point(
        "fuse_both_ends",
        "cables",
        "A run between two sources has a fuse at both ends; each can break what the other source gives.",
        "sources",
    ),
    Point(
        "fuse_rating",
        "cables",
        "Rating, style and breaking capacity of every fuse read off the part and as in the schedule.",
    ),
    Point(
        "size_steps",
        "cables",
        "Every step down in size has its own fuse, or the fuse before it protects the smaller conductor.",
    ),
    Point(
        "routing",
        "cables",
        "A grommet at every hole in sheet metal; conduit where the cable can rub; clear of exhaust, belts, "
        "seat rails, fuel and brake lines and airbag looms.",
    ),
    Point(
        "aluminium_body",
        "cables",
        "Body of steel where it is a return: an aluminium, composite or glued body is none without its maker's word; "
        "copper on aluminium needs the right washer and paste.",
        "body_return",
    ),
    Point("strain_relief", "cables", "Strain relief on both sides of every terminal; every crimp pulled by hand."),
    Point(
        "torque_marked",
        "cables",
        "Torque of every bolted joint as its maker says, written down, and marked with paint.",
    ),
    Point(
        "negatives",
        "cables",
        "Negatives on bare metal or a welded stud, never on seat or belt bolts; on the body side of a battery sensor.",
    ),
    Point(
        "body_return",
        "cables",
        "Body return: paint removed, joint sealed against corrosion, resistance measured in millivolts at a "
        "known current.",
        "body_return",
    ),
    Point(
        "restraint",
        "batteries",
        "Battery restraint: the tray and strap hold the mass in a crash, not only on the road; pulled by hand.",
    ),
    Point("posts_covered", "batteries", "Positive terminals covered; nothing metal can fall across the posts."),
    Point(
        "venting",
        "batteries",
        "Battery venting: the vent tube ends outside the vehicle, also of a battery that stands inside.",
        "lead",
    ),
    Point(
        "acid",
        "batteries",
        "Acid: goggles and gloves at open or cracked lead-acid batteries, water within reach; in the eye, rinse for 15 "
        "minutes and see a doctor.",
        "lead",
    ),
    Point(
        "lithium_place",
        "batteries",
        "Lithium battery away from engine heat; charging voltage within its maker's window; no charging below"
        " the temperature its maker allows.",
        "lithium",
    ),
    Point(
        "lithium_smoke",
        "batteries",
        "Told and known: when a lithium battery swells, hisses or smokes, everybody out and upwind, the smoke is "
        "poisonous; call the fire brigade, say that it is lithium, and let nobody open or move it.",
        "lithium",
    ),
    Point(
        "lithium_opens",
        "batteries",
        "What happens when its management opens under load has been tried or thought through: the voltage of "
        "the rest of the system stays within what the equipment bears.",
        "lithium",
    ),
    Point(
        "bank_precharge",
        "batteries",
        "Capacitor bank pre-charged through a resistor or lamp before its main connection is closed; the "
        "difference measured before closing.",
        "bank",
    ),
    Point(
        "bank_discharge_kit",
        "batteries",
        "Capacitor discharge: resistor and instructions lie with the vehicle; the bank is labelled with its "
        "voltage and energy.",
        "bank",
    ),
    Point("bank_cells", "batteries", "Cell voltages of the bank measured when charged; none above its rating.", "bank"),
    Point(
        "coupling_tried",
        "batteries",
        "Coupling between the batteries tried: it opens when it should, and its contacts are rated for the "
        "current in the schedule.",
        "coupling",
    ),
    Point("polarity", "power", "Polarity of every feed measured before the last connection is made."),
    Point(
        "insulation",
        "power",
        "Insulation, fuses out and amplifiers off: over 1 MΩ from feed to body with a multimeter; no "
        "insulation tester on electronics.",
    ),
    Point(
        "first_power",
        "power",
        "First power-up through a small fuse or a lamp; no current when everything is off; then fuses one by "
        "one, nearest to the source last.",
    ),
    Point(
        "voltages_noted",
        "power",
        "Voltage at rest, at idle and at cruise, at the battery posts and at the amplifier terminals, written down.",
    ),
    Point("key_off", "power", "Remote line switches every amplifier off; key-off current measured."),
    Point(
        "outputs_covered",
        "power",
        "Amplifier output terminals are covered: more than 50 V rms at full power.",
        "hot_terminals",
    ),
    Point(
        "engine_running",
        "measuring",
        "Engine never run in a closed garage (carbon monoxide); wheels chocked, parking brake on; hands, hair"
        " and leads clear of belts and fan.",
    ),
    Point(
        "hearing",
        "measuring",
        "Hearing: everyone near wears protection, doors closed or open as agreed, listeners out of the "
        "vehicle for full-power tones.",
    ),
    Point(
        "meter_rated",
        "measuring",
        "Meter and clamp rated for the voltage and current; fused leads; stop the tone at 10.5 V.",
    ),
    Point(
        "joints_cool",
        "measuring",
        Said(
            "Every joint felt or measured by infrared after 15 minutes of play: none more than 30 K above its "
            "neighbours.",
            us="Every joint felt or measured by infrared after 15 minutes of play: none more than 54 °F above its "
            "neighbours.",
        ),
    ),
    Point("extinguisher", "measuring", "Fire extinguisher within reach."),
    Point(
        "second_source_label",
        "handover",
        "Label at the front battery: there is a further source, where it is, and how it is made dead.",
        "sources",
    ),
    Point(
        "disconnect_shown",
        "handover",
        "What makes each source dead, as the note for garage and rescue names it, was shown, is labelled, and was "
        "operated by the customer.",
    ),
    Point(
        "fuse_told",
        "handover",
        "Told: replace a fuse once, by the same rating and style; blown twice: find the fault; never a bigger one.",
    ),
    Point(
        "engine_off_told",
        "handover",
        "Told: how long it plays with the engine off, and what to do when it smells, squeals or the battery "
        "lamp lights.",
    ),
    Point(
        "retighten_told",
        "handover",
        Said(
            "Joints to be tightened again after 500 to 1000 km, then every year: noted for the next visit.",
            us="Joints to be tightened again after 300 to 600 mi, then every year: noted for the next visit.",
        ),
    ),
)
NAMES: Final = frozenset(point.id for point in POINTS)
