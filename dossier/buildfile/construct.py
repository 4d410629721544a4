"""A checked tree to the frozen classes of ``model``; nothing can be wrong any more on this floor."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from dossier.buildfile import model
from dossier.buildfile.construct_kept import kept
from dossier.buildfile.model import Quantity
from dossier.buildfile.part import Part
from dossier.buildfile.positions import Positions
from dossier.buildfile.validate import Checked


def construct(
    tree: Mapping[str, Any], checked: Checked, positions: Positions, name: str, text: bytes
) -> model.Build:
    """The build of a tree that has passed every check."""
    root = Part(tree, (), checked.quantities)
    limits = root.part("limits")
    return model.Build(
        name=name,
        record=_record(root.part("record"), root.part("workshop")),
        vehicle=_vehicle(root.part("vehicle")),
        locations=root.all("locations", _location),
        supplies=root.all("supplies", _supply),
        batteries=root.all("batteries", _battery),
        capacitor_banks=root.all("capacitor_banks", _bank),
        amplifiers=root.all("amplifiers", _amplifier),
        speakers=root.all("speakers", _speaker),
        cables=root.all("cables", _cable),
        couplings=root.all("couplings", _coupling),
        load_cases=root.all("load_cases", _load_case),
        amplifier_limit=_limit(limits.part("amplifier")),
        vehicle_limit=_limit(limits.part("vehicle")),
        options=root.all("options", _option),
        notes=tuple(tree.get("notes", ())),
        tree=tree,
        places=MappingProxyType(positions.places()),
        text=text,
        kept=kept(root),
        fuse_distance=limits.text("fuse_distance"),
    )


_STAGES = {"plan": "design"}  # two words for one


def _location(p: Part) -> model.Location:
    return model.Location(p.id, p.title, p.maybe("ambient"), p.maybe("coldest"), p.text("zone"))


def _record(p: Part, workshop: Part) -> model.Record:
    return model.Record(
        number=p.text("number"),
        title=p.text("title"),
        stage=_STAGES.get(p.text("stage"), p.text("stage")),
        date=p.text("date"),
        revision=p.text("revision", "A"),
        workshop=p.text("workshop") or workshop.text("name"),
        customer=p.text("customer"),
        units=p.text("units"),
        paper=p.text("paper"),
    )


def _vehicle(p: Part) -> model.Vehicle:
    base = p.part("base_load")
    return model.Vehicle(
        description=p.text("description"),
        system=p.maybe("system") or Quantity(12.0, "12 V", "vehicle.system"),
        idle=p.maybe("idle"),
        cruise=p.maybe("cruise"),
        redline=p.maybe("redline"),
        base_load_at=base.text("at"),
        base_load=base.states(),
        cranking_current=p.maybe("cranking_current"),
        key_off_current=p.maybe("key_off_current"),
        payload=p.maybe("payload"),
        starter_at=p.text("starter_at"),
    )


def _supply(p: Part) -> model.Supply:
    one = p.maybe("charging_voltage")
    by_state = p.part("charging_voltage").states() if one is None else MappingProxyType({"any": one})
    return model.Supply(
        id=p.id,
        title=p.title,
        kind=p.text("kind"),
        at=p.text("at"),
        input_from=p.text("from"),
        runs_in=tuple(p.data.get("runs_in", ())),
        charging_voltage=by_state if "charging_voltage" in p.data else MappingProxyType({}),
        rated_current=p.maybe("rated_current"),
        output_at_shaft=p.curve("output_at_shaft"),
        output_is_hot=p.flag("output_is_hot"),
        pulley_ratio=p.maybe("pulley_ratio"),
        load_response=p.maybe("load_response"),
        maximum_speed=p.maybe("maximum_speed"),
        efficiency=p.maybe("efficiency"),
        minimum_input=p.maybe("minimum_input"),
        regulation=p.text("regulation"),
        belt=_belt(p.part("belt")) if "belt" in p.data else None,
    )


def _belt(p: Part) -> model.Belt:
    return model.Belt(
        crank_pulley=p.maybe("crank_pulley"),
        pulley=p.sure("pulley"),
        replaced_pulley=p.maybe("replaced_pulley"),
        centres=p.maybe("centres"),
        wrap=p.maybe("wrap"),
    )


def _battery(p: Part) -> model.Battery:
    cranking, management = p.part("cold_cranking"), p.part("management")
    limits = model.Management(
        continuous=management.maybe("continuous"),
        peak=management.maybe("peak"),
        peak_time=management.maybe("peak_time"),
        low_voltage=management.maybe("low_voltage"),
        own_current=management.maybe("own_current"),
        coldest_charge=management.maybe("coldest_charge"),
    )
    usual = {"lifepo4": 4}.get(p.text("chemistry"))
    return model.Battery(
        id=p.id,
        title=p.title,
        at=p.text("at"),
        chemistry=p.text("chemistry"),
        parallel=p.whole("parallel"),
        series=p.whole("series"),
        cells=p.count("cells") or usual,
        capacity=p.maybe("capacity"),
        cold_cranking=cranking.maybe("current"),
        cold_cranking_standard=cranking.text("standard"),
        internal_resistance=p.maybe("internal_resistance"),
        open_circuit_voltage=p.maybe("open_circuit_voltage"),
        state_of_charge=p.maybe("state_of_charge"),
        surface_charge=p.maybe("surface_charge"),
        management=limits if "management" in p.data else None,
        starts_engine=p.flag("starts_engine"),
        mass=p.maybe("mass"),
        vent_outside=p.flag("vent_outside"),
    )


def _bank(p: Part) -> model.CapacitorBank:
    cell = p.part("cell")
    return model.CapacitorBank(
        id=p.id,
        title=p.title,
        at=p.text("at"),
        series=p.whole("series"),
        parallel=p.whole("parallel"),
        capacitance=cell.sure("capacitance"),
        esr=cell.maybe("esr"),
        rated_voltage=cell.maybe("rated_voltage"),
        mass=p.maybe("mass"),
        balancing=p.text("balancing"),
        standby_current=p.maybe("standby_current"),
        precharge=p.part("precharge").maybe("resistance"),
        precharge_power=p.part("precharge").maybe("power"),
    )


def _amplifier(p: Part) -> model.Amplifier:
    return model.Amplifier(
        id=p.id,
        title=p.title,
        at=p.text("at"),
        supply=p.text("supply"),
        output_class=p.text("class", "d"),
        rated=p.curve("rated")[::-1],
        rated_at=p.maybe("rated_at"),
        efficiency=p.maybe("efficiency"),
        idle_current=p.maybe("idle_current"),
        low_voltage_shutdown=p.maybe("low_voltage_shutdown"),
        restart_voltage=p.maybe("restart_voltage"),
        restart_delay=p.maybe("restart_delay"),
        lowest_voltage=p.maybe("lowest_voltage"),
        maximum_supply=p.maybe("maximum_supply"),
        ripple_fraction=p.maybe("ripple_fraction"),
        onboard_fuses=p.maybe("onboard_fuses"),
        mass=p.maybe("mass"),
        standby_current=p.maybe("standby_current"),
        remote=_remote(p.part("remote")) if "remote" in p.data else None,
    )


def _remote(p: Part) -> model.RemoteLead:
    return model.RemoteLead(p.sure("size"), p.maybe("length"), p.maybe("current"), p.maybe("fuse"))


def _speaker(p: Part) -> model.Speaker:
    named = p.data["amplifier"]
    return model.Speaker(
        id=p.id,
        title=p.title,
        amplifiers=(named,) if isinstance(named, str) else tuple(named),
        drivers=p.whole("drivers"),
        voice_coils=p.whole("voice_coils"),
        coil_impedance=p.sure("coil_impedance"),
        coils_in=p.text("coils_in", "series"),
        drivers_in=p.text("drivers_in", "parallel"),
        operating_impedance=p.maybe("operating_impedance"),
        impedance_rise=p.maybe("impedance_rise"),
        lead=_lead(p.part("lead")) if "lead" in p.data else None,
        mass=p.maybe("mass"),
    )


def _lead(p: Part) -> model.SpeakerLead:
    return model.SpeakerLead(p.sure("size"), p.sure("length"), p.text("material", "copper"))


def _fuse(p: Part) -> model.Fuse:
    return model.Fuse(
        id=p.id,
        near=p.text("near"),
        distance=p.maybe("distance"),
        style=p.text("style"),
        rating=p.sure("rating"),
        breaking_capacity=p.maybe("breaking_capacity"),
        resistance=p.maybe("resistance"),
        shared=p.flag("shared"),
        holder_rating=p.maybe("holder_rating"),
        rated_voltage=p.maybe("rated_voltage"),
        opens_within=p.curve("opens_within"),
        holds_for=p.curve("holds_for"),
    )


def _cable(p: Part) -> model.Cable:
    return model.Cable(
        id=p.id,
        title=p.title,
        role=p.text("role"),
        start=p.text("from"),
        end=p.text("to"),
        chassis=p.flag("chassis"),
        size=p.maybe("size"),
        material=p.text("material", "copper"),
        insulation=p.maybe("insulation"),
        length=p.maybe("length"),
        runs=p.whole("runs"),
        resistance=p.maybe("resistance"),
        joints=p.maybe("joints"),
        ambient=p.maybe("ambient"),
        bundled=p.count("bundled"),
        sheathed=p.flag("sheathed"),
        fuses=p.all("fuses", _fuse),
    )


def _coupling(p: Part) -> model.Coupling:
    return model.Coupling(
        id=p.id,
        title=p.title,
        kind=p.text("kind"),
        start=p.text("from"),
        end=p.text("to"),
        closed=p.flag("closed", default=True),
        closes=p.maybe("closes"),
        opens=p.maybe("opens"),
        delay=p.maybe("delay"),
        resistance=p.maybe("resistance"),
        forward_drop=p.maybe("forward_drop"),
        continuous=p.maybe("continuous"),
        peak=p.maybe("peak"),
    )


def _load_case(p: Part) -> model.LoadCase:
    signal, speed = p.part("signal"), p.maybe("engine")
    crest = signal.part("music").maybe("crest_factor")
    kind = "music" if crest else "bursts" if signal.maybe("burst") else "tone"
    return model.LoadCase(
        id=p.id,
        title=p.title,
        engine=model.Engine("cruise" if speed else p.text("engine"), speed),
        signal=model.Signal(
            kind=kind,
            tone=signal.maybe("tone"),
            burst=signal.maybe("burst"),
            every=signal.maybe("every"),
            crest_factor=crest,
            duration=signal.sure("for"),
        ),
        drive=p.text("drive", "clean"),
        level=p.maybe("level"),
        amplifiers=tuple(p.data.get("amplifiers", ())),
    )


def _limit(p: Part) -> model.Limit:
    return model.Limit(p.maybe("mean"), p.maybe("minimum_100ms"), p.maybe("trough"))


def _option(p: Part) -> model.Option:
    cost = p.maybe("cost")
    currency = cost.text[-3:] if cost else ""
    return model.Option(p.id, p.title, cost, currency, p.maybe("mass"), p.data["changes"])
