"""Every sentence of the customer's and the inspector's edition and of the labels: a translation is this one file.

Names in braces are filled in by the pages; they are plain text. Facts of the trade in here are common practice, no
source, except where another is named.
"""

from __future__ import annotations

from typing import Final

# --- the customer's edition ---------------------------------------------------------------------------------------
CUSTOMER_LEAD: Final = (
    "This is what was fitted to your vehicle, how to live with it, and what to do when something is not as "
    "it should be. Keep it "
    "with the vehicle's papers. The workshop has the complete record with every calculation."
)
CUSTOMER_LEAD_PLAN: Final = (
    "This is what is planned for your vehicle, how you will live with it, and what to do when something is not "
    "as it should be. Nothing of it is built yet: read it before you agree to it."
)
FIRST: Final = "Read this first"
STOP_FIRST: Final = "Do not switch it on. The workshop has points to settle first; they are listed at the end."
HEARING_FIRST: Final = (
    "Hearing. This system can harm it within minutes, without pain and for good: see the table of minutes."
)
OFF_FIRST: Final = "Engine off. At ordinary level it plays {time}; after that the engine may not start."
OFF_UNKNOWN: Final = (
    "Engine off. How long it may play is not known for this system; assume that a few minutes can keep the "
    "engine from starting."
)
SOURCES_FIRST: Final = "{sources}. Taking off the front battery terminal does not make the rest dead."
SOURCE_FIRST: Final = "{sources}, and one place to make it dead."
FITTED: Final = "What was fitted"
PLANNED: Final = "What is planned"
FITTED_WORDS: Final = "Where every battery and every other source is, and what it feeds."
DRAWN: Final = "How it is wired"
DEAD: Final = "How to make it dead"
DEAD_WORDS: Final = "{places} to open, in this order. Nobody may be able to close one again unseen."
DEAD_ENGINE: Final = "Engine off, key out, sound system off. Wait three minutes before any work near airbags."
DEAD_STORE: Final = "{title}, at {place}: take off its negative terminal and cover it."
DEAD_BANK: Final = (
    "{title}, at {place}: open its connection, then let the workshop discharge it. It stays charged with "
    "every battery off."
)
DEAD_LAST: Final = "Only a meter shows that it is dead: under 1 V between positive and body at the amplifiers."
LIVING: Final = "Living with it"
LIVING_LINES: Final = (
    ("Engine off", "At ordinary level it plays {off}, then the engine may not start. At full volume, {off_full}."),
    ("Idling", "{idle}"),
    ("Normal volts", "{rest} at rest after a night, {charging} with the engine running."),
    ("Too low", "Below {low} turn it down; below {lowest} switch it off."),
    ("Lamps", "Lamps that dim a little with the bass are no fault. Lamps that flicker without music are."),
    (
        "Amplifiers",
        "Gain and filters were set with a meter: leave them. More gain adds heat and distortion, not level. Keep "
        "luggage off the amplifiers: they need air.",
    ),
)
LEVELS: Final = "How long it plays"
LEVELS_HEADS: Final = ("Level", "Engine off, until the\nstarter's share is reached", "Idling\nA", "Driving\nA")
LEVELS_WORDS: Final = (
    "Plus: the batteries are charged while it plays. Minus: they run down although the engine runs. Computed for a "
    "full, healthy battery."
)
LEVELS_NAMES: Final = ((0.2, "Ordinary level"), (0.5, "Loud, heavy bass"), (1.0, "Test tone at full output"))  # up to
LEVELS_NONE: Final = "not judged"
IDLE_BALANCED: Final = "With the engine idling at full volume the alternator keeps up."
IDLE_DEFICIT: Final = (
    "With the engine idling at full volume the batteries lose {amps} A: they run down although the engine runs."
)
SIGNS: Final = "When something is wrong"
SIGNS_LINES: Final = (
    "Smell, smoke, a hot plug or cable, a squealing belt, the battery lamp: volume off, engine off, "
    "everybody out, then call.",
    "A fuse blew: replace it once, by the same rating and style. Blown twice: call the workshop. Never a "
    "bigger one, never a bridge.",
    "The sound cuts out in the bass and comes back: the voltage is too low. Turn it down and let the engine run.",
    "It plays with the key out, or the amplifiers stay warm: have it looked at the same day.",
    "After a crash, or when water stood where a battery or an amplifier is: leave it off until the workshop "
    "has looked at it.",
)
FUSES: Final = "The fuses"
CARE: Final = "Starting help, charging, another battery, winter"
CARE_LINES: Final = (
    (
        "Jump start",
        "At the starter battery only: positive to its positive post, negative to the body away from "
        "it. Sound system off.",
    ),
    ("Charger", "A charger made for the chemistry of the battery, at that battery; one charger per battery."),
    (
        "Battery swap",
        "The same chemistry, size and rating. On many vehicles the new battery has to be made known to the vehicle.",
    ),
    (
        "Winter and storage",
        "Cold takes a third of a lead battery. Standing for weeks: {standing}. Charge before, and every two months.",
    ),
)
CARE_SALE: Final = ("Sale", "Hand this paper on. Whoever owns the vehicle next has to know what is in it.")
NEVER: Final = "Never without the workshop"
NEVER_WORDS: Final = (
    "The fuses protect these cables and no others. Each of these asks for a new calculation before it is done:"
)
NEVER_LINES: Final = (
    "a fuse of another rating or style, or a fuse bridged",
    "a cable that is thinner or longer, or one more unit on a cable that is there",
    "a battery of another chemistry, size or place",
    "a capacitor bank, its cells or its fuse",
    "another amplifier, or other loudspeakers on one that is there",
    "another alternator, pulley or charging voltage",
)
STANDING: Final = "after about {days} days the engine may not start"
STANDING_UNKNOWN: Final = "the batteries run down"
LITHIUM_COLD: Final = "Lithium batteries are not charged below freezing; warm them first."
GARAGE: Final = "Note for garage and rescue"
GARAGE_CUT: Final = "Cut it out and keep it where a stranger finds it: behind the sun visor, or in the glove box."
GARAGE_SOURCES: Final = "This vehicle has {sources}"
GARAGE_ALSO: Final = "further: {list}"
GARAGE_LIVE: Final = (
    "Cables behind the trim carry high current and are live with the ignition off. Opening the front terminal "
    "alone does not make it dead."
)
GARAGE_ONE: Final = "Cables behind the trim carry high current and are live with the ignition off."
GARAGE_FUSES: Final = "Main fuses: {list}."
GARAGE_CALL: Final = "Questions: {contact}."
EARS: Final = "Hearing"
EARS_MEASURED: Final = (
    "Measured with a tone: {level} dB(A) at {position}. For this tone alone {time} a day are permitted without "
    "protection; "
    "music at full level brings more."
)
EARS_NOT: Final = (
    "No level was measured that could be judged, so no time can be promised. The table shows how quickly "
    "it becomes little."
)
EARS_TABLE: Final = (
    "Time a day without protection, NIOSH 98-126, Table 1-1: 85 dB(A) for 8 hours, half for every 3 dB more."
)
UPKEEP: Final = "Looking after it"
LOG: Final = "Log of work"
LOG_WORDS: Final = "Whatever is done to the system from now on, by whomever."
LOG_HEADS: Final = ("Date", "Odometer", "What was done", "By")
INSURER: Final = "Tell your insurer what was fitted. Some want this record."
OPEN_POINTS: Final = "What is not settled"
OPEN_NONE: Final = "Nothing is open: every check made for this record passed."
DIGEST_WORDS: Final = (
    "Digest of this paper and of the files attached to it. It shows that they belong together, not who wrote them."
)
OPEN_WORDS: Final = "The workshop's record says what cures each point. Ask for it before you rely on the system."
OPEN_HEADS: Final = ("What was found", "What it means if nothing is done")
RECEIVED_PLAN: Final = (
    ("Planned by", "This is what is offered; nothing of it is built."),
    ("Agreed by", "I have read the plan and what is not settled in it."),
)
RECEIVED: Final = (
    ("Handed over by", "I have shown how to make it dead, the limits of use, and the maintenance."),
    ("Received by", "I was shown it, and I have this paper."),
)

# --- the workshop's edition, where it is written on ------------------------------------------------------------------
RESERVATIONS: Final = "Reservations at the handover"
RESERVATIONS_WORDS: Final = (
    "What is accepted only once it is done, by whom and until when; strike out what is left empty."
)
RESERVATIONS_HEADS: Final = ("No.", "Reservation", "Done by, date")

# --- labels, in the workshop's edition --------------------------------------------------------------------------------
LABELS_WORDS: Final = (
    "Print on adhesive film, cut along the dashed lines, and stick each label where it is seen before anything is "
    "touched. The card goes behind the sun visor."
)
LABELS_SOURCES: Final = "At every battery and bank"
LABELS_FUSES: Final = "At every fuse"
LABEL_FURTHER: Final = "Further source: {list}. Taking this terminal off does not make the rest dead."
LABEL_ONLY: Final = "The only store of energy of this system."
LABEL_BANK: Final = (
    "Charged even with every battery off. Discharge through {ohm} Ω and measure under 1 V before touching."
)
LABEL_FUSE: Final = "Same rating and style only; blown twice: call the workshop."

# --- the inspector's edition --------------------------------------------------------------------------------------
INSPECTOR_TITLE: Final = "Inspector's edition"
TEN_MINUTES: Final = "Ten minutes, in this order"
TEN_LEAD: Final = (
    "What is recorded stands beside what to see. A box is ticked only for what was seen on this vehicle today."
)
TEN_PLAN: Final = "This is a plan: nothing of it is built, and nothing can be ticked yet."
STEPS: Final = (  # what, and what to see
    ("Paper", "Identity, revision {revision} and digest as here; as many energy sources in the vehicle as on paper."),
    ("Disconnect", "Found, labelled, operated: under 1 V downstream; a capacitor bank isolated or discharged."),
    (
        "Bonnet",
        "Hold-down, post covers, fuse distance by ruler, type, rating, breaking capacity, grommet, clear "
        "of exhaust and belt.",
    ),
    ("Route", "Fuel, brake, airbag looms and seat rails are clear."),
    (
        "Rear",
        "Restraint by hand, vent, fuse at the rear source, no unprotected size reduction, tug test, bare-metal stud.",
    ),
    ("Outputs", "Speaker terminals covered where over 50 V; extinguisher within reach."),
    ("Meter", "At rest, charging, and at the amplifier."),
    ("Tone, 5 s", "Ears covered: the voltage stays inside the recorded band, else it is not verified."),
    ("Sign", "Only what was seen."),
)
REMARKS: Final = "Remarks of the inspector"
REMARKS_HEADS: Final = ("No.", "What was seen", "What is asked, until when")
INSPECTED: Final = (
    ("Entrant or workshop", "The vehicle is as recorded here."),
    ("Inspector", "I have seen what is ticked, and nothing else."),
)
NOT_VERIFIED: Final = "not verified"
