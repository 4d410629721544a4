"""A build made by hand for layout tests; its numbers are invented."""

from __future__ import annotations

from dossier.buildfile import model as m


def q(si: float, text: str, path: str, basis: m.Basis = m.Basis.DATASHEET) -> m.Quantity:
    """A quantity as the reader would make it."""
    return m.Quantity(si=si, text=text, path=path, basis=basis)


def _amplifier(id_: str, title: str, at: str = "boot") -> m.Amplifier:
    p = f"amplifiers.{id_}"
    return m.Amplifier(
        id=id_, title=title, at=at, supply="unregulated", output_class="d",
        rated=((q(4, "4 ohm", p), q(500, "500 W", p)), (q(2, "2 ohm", p), q(900, "900 W", p)),
               (q(1, "1 ohm", p), q(1500, "1500 W", p))),
        rated_at=q(14.4, "14.4 V", p), efficiency=q(0.78, "78 %", p), idle_current=None,
        low_voltage_shutdown=q(9.5, "9.5 V", p), restart_voltage=None, restart_delay=None, lowest_voltage=None,
        maximum_supply=q(16, "16 V", p), ripple_fraction=None, onboard_fuses=q(160, "160 A", p), mass=None,
    )


def cable(id_: str, title: str, start: str, end: str, *, role: str = "feed", chassis: bool = False) -> m.Cable:
    """A cable with a fuse at either end."""
    p = f"cables.{id_}"
    fuses = {} if chassis else {
        "front": m.Fuse("front", start, q(0.15, "150 mm", p), "bolt_in", q(150, "150 A", p), q(5000, "5 kA", p),
                        None, False),
        "rear": m.Fuse("rear", end, q(0.12, "120 mm", p), "bolt_in", q(150, "150 A", p), q(5000, "5 kA", p),
                       None, False),
    }
    return m.Cable(
        id=id_, title=title, role=role, start=start, end=end, chassis=chassis,
        size=None if chassis else q(35e-6, "35 mm2", p), material="copper",
        insulation=None if chassis else q(105, "105 degC", p), length=None if chassis else q(5.1, "5.1 m", p),
        runs=1, resistance=q(1.2e-3, "1.2 mohm", p, m.Basis.ESTIMATED) if chassis else None, joints=None,
        ambient=None, bundled=None, sheathed=False, fuses=fuses,
    )


def sample_build(*, stage: str = "as_built", notes: tuple[str, ...] | None = None, with_bank: bool = True) -> m.Build:
    """An estate car with two batteries, a bank, a converter and one amplifier."""
    locations = {
        "alternator": m.Location("alternator", "Alternator and engine block", q(90, "90 degC", "locations")),
        "engine_bay": m.Location("engine_bay", "Engine bay battery", q(70, "70 degC", "locations")),
        "body_front": m.Location("body_front", "Body at the front", q(50, "50 degC", "locations")),
        "boot": m.Location("boot", "Boot left side", q(40, "40 degC", "locations")),
    }
    supplies = {
        "main": m.Supply(
            id="main", title="main", kind="alternator", at="alternator", input_from="", runs_in=(),
            charging_voltage={"idle": q(13.6, "13.6 V", "s"), "cruise": q(12.8, "12.8 V", "s")}, rated_current=None,
            output_at_shaft=((q(1800, "1800 rpm", "s"), q(60, "60 A", "s")), (q(2400, "2400 rpm", "s"), q(85, "85 A", "s")),
                             (q(6000, "6000 rpm", "s"), q(120, "120 A", "s"))),
            output_is_hot=True, pulley_ratio=q(2.86, "2.86", "s"), load_response=q(10, "10 A/s", "s"),
            maximum_speed=None, efficiency=None, minimum_input=None,
        ),
        "converter": m.Supply(
            id="converter", title="Boot converter", kind="dc_dc", at="boot", input_from="engine_bay", runs_in=("cruise",),
            charging_voltage={"any": q(14.2, "14.2 V", "s")}, rated_current=q(50, "50 A", "s"), output_at_shaft=(),
            output_is_hot=False, pulley_ratio=None, load_response=None, maximum_speed=None,
            efficiency=q(0.88, "88 %", "s"), minimum_input=None,
        ),
    }
    batteries = {
        "starter": m.Battery(
            id="starter", title="Starter battery", at="engine_bay", chemistry="agm", parallel=1, series=1, cells=None,
            capacity=q(252000, "70 Ah", "b"), cold_cranking=None, cold_cranking_standard="", surface_charge=None,
            internal_resistance=q(4.2e-3, "4.2 mohm", "b", m.Basis.MEASURED), open_circuit_voltage=None,
            state_of_charge=None, management=None, starts_engine=True, mass=None,
        ),
        "rear": m.Battery(
            id="rear", title="Rear battery", at="boot", chemistry="lifepo4", parallel=1, series=1, cells=4,
            capacity=q(288000, "80 Ah", "b"), cold_cranking=q(800, "800 A", "b"), cold_cranking_standard="en",
            surface_charge=None, internal_resistance=None, open_circuit_voltage=None, state_of_charge=None,
            management=m.Management(q(150, "150 A", "b"), q(300, "300 A", "b"), q(3, "3 s", "b"), q(10, "10 V", "b")),
            starts_engine=False, mass=q(24, "24 kg", "b"),
        ),
    }
    banks = {
        "bank": m.CapacitorBank("bank", "Capacitor bank", "boot", 6, 1, q(3000, "3000 F", "c"),
                                q(0.25e-3, "0.25 mohm", "c"), q(2.7, "2.7 V", "c"), q(6, "6 kg", "c")),
    }
    speakers = {
        "sub": m.Speaker("sub", "Subwoofer, 15 inch", ("bass",), 1, 2, q(2, "2 ohm", "sp"), "parallel", "parallel", None,
                         None),
    }
    cables = {
        "alternator_lead": cable("alternator_lead", "Alternator lead", "alternator", "engine_bay"),
        "feed": cable("feed", "Main feed", "engine_bay", "boot"),
        "body": cable("body", "Body return", "boot", "body_front", role="return", chassis=True),
    }
    couplings = {
        "split": m.Coupling("split", "Voltage-sensing relay", "voltage_sensing_relay", "engine_bay", "boot", False,
                            q(13.3, "13.3 V", "k"), q(12.8, "12.8 V", "k"), q(2, "2 s", "k"), q(3e-4, "0.3 mohm", "k"),
                            None, q(140, "140 A", "k"), None),
    }
    tone = m.Signal("tone", q(38, "38 Hz", "l"), None, None, None, q(20, "20 s", "l"))
    cases = {
        "long_note": m.LoadCase("long_note", "Long note while driving", m.Engine("cruise", None), tone, "clean", None, ()),
    }
    return m.Build(
        name="sample",
        record=m.Record("W-014", "Estate car, one 15-inch subwoofer and front stage", stage, "2026-10-03", "B",
                        "Example workshop, rear yard", "Customer 0147"),
        vehicle=m.Vehicle("Estate car, diesel, start-stop, controlled alternator", q(12, "12 V", "v"),
                          q(800, "800 rpm", "v"), q(2200, "2200 rpm", "v"), q(4800, "4800 rpm", "v"), "engine_bay",
                          {"stopped": q(4, "4 A", "v"), "idle": q(42, "42 A", "v"), "cruise": q(55, "55 A", "v")},
                          q(180, "180 A", "v", m.Basis.ESTIMATED)),
        locations=locations, supplies=supplies, batteries=batteries, capacitor_banks=banks if with_bank else {},
        amplifiers={"bass": _amplifier("bass", "Bass amplifier")}, speakers=speakers, cables=cables, couplings=couplings,
        load_cases=cases, amplifier_limit=m.Limit(q(11.8, "11.8 V", "limits"), None, None),
        vehicle_limit=m.Limit(q(11.5, "11.5 V", "limits"), None, None), options={},
        notes=("The rear battery is charged by the converter only; the feed to the boot carries the converter's input.",)
        if notes is None else notes,
        tree={}, places={}, text=b"format: 1\nrecord: {number: W-014}\n",
    )
