"""What sag costs in sound, way by way, and whether more power could be fed."""

from __future__ import annotations

from typing import Any

from dossier.pages.words import at_least, fixed
from dossier.pdf.flow import heading, text
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import plain
from dossier.reader.wording import say
from dossier.results.options import NO_LOSS_DB, OptionComparison


def gaps(found: OptionComparison) -> list[Any]:
    """Power to close each gap to a level, and whether it could be fed."""
    story: list[Any] = []
    for gap in found.gaps:
        rows = [[plain(title, 60), answer] for title, answer in gap.feeds]
        if not story:
            story.append(heading(say("options.power_to_close_the_gap"), 2, "options-gap"))
        words = say(
            "options.gap_db_closing_it_by_amplifier",
            words=gap.words,
            gap_db=fixed(gap.gap_db),
            amplifier_w=fixed(gap.amplifier_w / 1e3),
            input_a=at_least(gap.input_a),
        )
        if len(rows) == 1:
            story.append(text(f"{words} {rows[0][1].rstrip('.')}."))
            continue
        story += [
            text(words),
            data_table(
                [
                    Column(say("options.way_to_go"), share=1.0, row_head=True),
                    Column(say("options.could_it_be_fed"), share=1.4),
                ],
                rows,
            ),
        ]
    return story


def sound(found: OptionComparison) -> list[Any]:
    """Output that sag takes; one sentence where it takes none."""
    rows = [
        [
            plain(row.title, 50),
            plain(one.case, 50),
            plain(one.amplifier, 40),
            fixed(one.asked_w, 0),
            say("options.collapse") if one.output_w is None else fixed(one.output_w, 0),
            fixed(one.lost_db),
        ]
        for row in found.rows
        for one in row.sound
    ]
    if sum(bool(row.sound) for row in found.rows) < 2:  # one way alone stands under each load case
        return []
    if all(one.is_nothing for row in found.rows for one in row.sound):
        return [text(say("options.no_sound_lost", most=fixed(2 * NO_LOSS_DB)))]
    return [
        heading(say("options.what_sag_costs_in_sound"), 2, "options-sound"),
        text(say("options.lowest_sustained_output_while_full_level")),
        data_table(
            [
                Column(say("options.way_to_go"), share=1.2, row_head=True),
                Column(say("options.load_case"), share=1.0),
                Column(say("columns.amplifier"), share=0.7),
                num(say("options.asked_w")),
                num(say("columns.output_w")),
                num(say("columns.lost_db")),
            ],
            rows,
        ),
    ]
