"""Who and what there is in the demo workshop. Every name is invented."""

from __future__ import annotations

from dataclasses import dataclass

from tickover.workshop.people.actions import NewPerson

WORKSHOP = ("Larkrise Bench", "Hangar 4, Larkrise Field (a demo: every name is invented)")

PEOPLE = (
    NewPerson("mara", "Mara", "Lindholt", "technician", "Demo authority LB-T-02"),
    NewPerson("ivo", "Ivo", "Brandauer", "inspector", "Demo authority LB-I-01"),
    NewPerson("tamsin", "Tamsin", "Quayle", "technician", "Demo authority LB-T-03"),
    NewPerson("noor", "Noor", "Haverkamp", "manager"),
)


@dataclass(frozen=True)
class DemoComponent:
    """An engine of the demo: its name, owner, yearly hours, and hours it came with.

    `weeks_away`: how long it has not been in the workshop, because its owner did not bring it.
    """

    name: str
    owner: str
    hours_a_year: float
    came_with_h: float
    sheet_id: str = "velisk-185"
    serial: int = 0
    weeks_away: int = 0


SCHOOL = "Larkrise Flying School"
FLEET = (
    DemoComponent("Tern 1", SCHOOL, 118, 212.0),
    DemoComponent("Tern 2", SCHOOL, 104, 161.5),
    DemoComponent("Tern 3", SCHOOL, 96, 0.0),
    DemoComponent("Tern 4", SCHOOL, 88, 0.0),
    DemoComponent("Tern 5", SCHOOL, 110, 47.3),
    DemoComponent("Tandem 1", SCHOOL, 82, 95.0, "velisk-230"),
    DemoComponent("Plover", "Edda Marchetti-Voss", 34, 88.4),
    DemoComponent("Dunlin", "Pell Ostrander", 28, 12.0, "velisk-130"),
    DemoComponent("Sanderling", "Runa Thackeray", 41, 140.2),
    DemoComponent("Whimbrel", "Joss Abernathy-Cole", 19, 61.0, "velisk-130"),
    DemoComponent("Curlew", "Mina Solberg-Hayes", 25, 33.1),
    DemoComponent("Godwit", "Ferris Okonjo", 52, 205.6, "velisk-230"),
    DemoComponent("Knot", "Liv Tarrant", 15, 8.2, "velisk-130"),
    DemoComponent("Redshank", "Bram Oyelaran", 30, 72.7),
    DemoComponent("Greenshank", "Bram Oyelaran", 12, 31.0),
    DemoComponent("Turnstone", "Saskia Delorme-Finch", 22, 54.9, weeks_away=11),
    DemoComponent("Avocet", "Hob Winterbourne", 37, 118.3, "velisk-230"),
    DemoComponent("Stint", "Aino Castellane", 18, 20.5, "velisk-130"),
    DemoComponent("Ruff", "Dag Pemberley", 27, 97.0),
    DemoComponent("Snipe", "Orla Vantongeren", 33, 66.6, weeks_away=7),
    DemoComponent("Woodcock", "Teo Halloran-Birk", 9, 14.4, "velisk-130"),
    DemoComponent("Lapwing", "Wren Castleford", 45, 0.0, serial=3012),
    DemoComponent("Dotterel", "Ilse Nakagawa-Reid", 21, 40.8),
    DemoComponent("Oystercatcher", "Cato Lindqvist-Moor", 29, 83.9, "velisk-230"),
)
