"""The record sections of a checked tree to the frozen classes of ``recorded``."""

from __future__ import annotations

from types import MappingProxyType

from dossier.buildfile import recorded
from dossier.buildfile.part import Part

_DEVICES = ("supplies", "batteries", "capacitor_banks", "amplifiers", "speakers")


def kept(root: Part) -> recorded.Kept:
    """Identity, people, measurements, checklist, photos, advice, history, handover, settings, serial numbers."""
    identity = root.part("record").part("identity")
    measured = root.part("measurements")
    amplifiers = root.part("amplifiers")
    return recorded.Kept(
        workshop=workshop(root.part("workshop")) if "workshop" in root.data else None,
        identity=recorded.Identity(
            plate=identity.text("plate"),
            vehicle_number=identity.text("vehicle_number"),
            odometer=identity.maybe("odometer"),
            masked=identity.flag("masked"),
        ),
        people=root.all("people", lambda p: recorded.Person(p.id, p.text("name"), p.text("role"))),
        instruments=root.all("instruments", _instrument),
        measurements=recorded.Measurements(
            readings=measured.all("readings", _reading),
            joints=measured.all("joints", _joint),
            insulation=measured.all("insulation", _insulation),
            continuity=measured.all("continuity", _continuity),
            torque=measured.all("torque", _torque),
            sound=measured.all("sound", _sound),
            logs=measured.all("logs", _log),
        ),
        checklist=root.all("checklist", _tick),
        photos=root.all("photos", _photo),
        advice=root.all("advice", _advice),
        revisions=tuple(
            recorded.Revision(r["revision"], r["date"], r["changed"], r.get("by", ""))
            for r in root.data.get("revisions", ())
        ),
        handover=_handover(root.part("handover")) if "handover" in root.data else None,
        settings=MappingProxyType(
            {name: _settings(part) for name in amplifiers.data if (part := amplifiers.part(name).part("settings")).data}
        ),
        serials=MappingProxyType(
            {
                f"{section}.{name}": serial
                for section in _DEVICES
                for name in root.part(section).data
                if (serial := root.part(section).part(name).text("serial"))
            }
        ),
    )


def workshop(p: Part) -> recorded.Workshop:
    """A letterhead."""
    return recorded.Workshop(
        name=p.text("name"),
        address=tuple(p.data.get("address", ())),
        phone=p.text("phone"),
        email=p.text("email"),
        web=p.text("web"),
        registration=p.text("registration"),
        logo=p.text("logo"),
    )


def _photo(p: Part) -> recorded.Photo:
    mask = tuple(
        recorded.Region(*(region.sure(edge).si for edge in ("left", "top", "right", "bottom")))
        for region in p.every("mask")
    )
    return recorded.Photo(p.id, p.text("file"), p.text("caption"), p.text("date"), mask, p.flag("private"))


def _log(p: Part) -> recorded.StatedLog:
    columns = MappingProxyType({str(k): str(v) for k, v in p.data.get("columns", {}).items()})
    return recorded.StatedLog(p.id, p.title, p.text("file"), p.text("load_case"), columns, p.maybe("starts"))


def _instrument(p: Part) -> recorded.Instrument:
    return recorded.Instrument(
        p.id, p.title, p.text("kind"), p.text("serial"), p.text("calibrated"), p.text("note")
    )


def _taken(p: Part) -> recorded.Taken:
    return recorded.Taken(
        instrument=p.text("instrument"),
        date=p.text("date"),
        place=p.text("place"),
        by=p.text("by"),
        revision=p.text("revision"),
        note=p.text("note"),
    )


def _reading(p: Part) -> recorded.MeterReading:
    return recorded.MeterReading(
        id=p.id,
        title=p.title,
        voltage=p.maybe("voltage"),
        current=p.maybe("current"),
        shows=p.text("shows", "mean"),
        at=p.text("at"),
        amplifier=p.text("amplifier"),
        load_case=p.text("load_case"),
        moment=p.text("moment", "playing"),
        predicted=p.maybe("predicted"),
        taken=_taken(p),
    )


def _joint(p: Part) -> recorded.JointReading:
    return recorded.JointReading(
        id=p.id,
        title=p.title,
        cable=p.text("cable"),
        at=p.text("at"),
        drop=p.sure("drop"),
        current=p.sure("current"),
        taken=_taken(p),
    )


def _insulation(p: Part) -> recorded.InsulationReading:
    return recorded.InsulationReading(p.id, p.title, p.text("cable"), p.sure("resistance"), _taken(p))


def _continuity(p: Part) -> recorded.ContinuityReading:
    return recorded.ContinuityReading(
        p.id, p.title, p.text("cable"), p.text("state"), p.maybe("resistance"), _taken(p)
    )


def _torque(p: Part) -> recorded.TorqueReading:
    return recorded.TorqueReading(
        id=p.id,
        title=p.title,
        cable=p.text("cable"),
        at=p.text("at"),
        torque=p.sure("torque"),
        asked=p.maybe("asked"),
        marked=p.flag("marked"),
        taken=_taken(p),
    )


def _sound(p: Part) -> recorded.SoundRun:
    return recorded.SoundRun(
        id=p.id,
        title=p.title,
        position=p.text("position"),
        level=p.sure("level"),
        weighting=p.text("weighting"),
        detector=p.text("detector"),
        frequency=p.maybe("frequency"),
        duration=p.maybe("duration"),
        supply_voltage=p.maybe("supply_voltage"),
        load_case=p.text("load_case"),
        target=p.maybe("target"),
        predicted_voltage=p.maybe("predicted_voltage"),
        taken=_taken(p),
    )


def _tick(p: Part) -> recorded.Tick:
    return recorded.Tick(p.id, p.text("item"), p.text("state"), p.text("by"), p.text("date"), p.text("note"))


def _advice(p: Part) -> recorded.Advice:
    return recorded.Advice(
        p.id, p.text("advice"), p.text("answer"), p.text("date"), p.text("by"), p.text("note")
    )


def _maintenance(p: Part) -> recorded.Maintenance:
    return recorded.Maintenance(
        id=p.id,
        task=p.text("task"),
        due_date=p.text("due_date"),
        due_at=p.maybe("due_at"),
        every_months=p.count("every_months"),
        every_distance=p.maybe("every_distance"),
        by=p.text("by"),
    )


def _handover(p: Part) -> recorded.Handover:
    return recorded.Handover(
        date=p.text("date"),
        odometer=p.maybe("odometer"),
        by=p.text("by"),
        to=p.text("to"),
        contact=p.text("contact"),
        maintenance=p.all("maintenance", _maintenance),
    )


def _settings(p: Part) -> recorded.Settings:
    return recorded.Settings(
        gain_target=p.maybe("gain_target"),
        test_tone=p.maybe("test_tone"),
        input=p.text("input"),
        high_pass=p.maybe("high_pass"),
        high_pass_slope=p.maybe("high_pass_slope"),
        low_pass=p.maybe("low_pass"),
        low_pass_slope=p.maybe("low_pass_slope"),
        boost=p.maybe("boost"),
        phase=p.text("phase"),
        note=p.text("note"),
    )
