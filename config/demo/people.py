"""The invented people and places of a year's inquiries."""

from typing import Final, NamedTuple


class Person(NamedTuple):
    """A customer: name, kind and the occasions they ask for."""

    name: str
    kind: str
    occasion: str


PEOPLE: Final = (
    Person("Ida Corven", "private", "Wedding of Ida and Jon"),
    Person("Marla Ostrey", "planner", "Orchard supper"),
    Person("Benno Tal", "private", "Benno is forty"),
    Person("Hester Quill", "private", "Christening of Pim"),
    Person("Lower Sedge Hall", "venue", "Harvest dance"),
    Person("Anselm Roe", "private", "Golden wedding"),
    Person("Rinna Falk", "private", "Wedding of Rinna and Tove"),
    Person("Merrin Ferry Office", "business", "Launch of the new ferry"),
    Person("Dace Wollem", "planner", "Barn wedding for Wollem Events"),
    Person("Perrin Ashdown", "private", "Perrin's farewell"),
    Person("Sunniva Hake", "private", "Wedding of Sunniva and Aldo"),
    Person("The Reading Room", "business", "Members' evening"),
    Person("Otto Brayne", "private", "School reunion"),
    Person("Kestrel Vane", "planner", "Garden party at the mill"),
    Person("Liesl Mourne", "private", "Name day of Liesl"),
    Person("Calder House", "venue", "Midwinter table"),
    Person("Fenna Dray", "private", "Wedding of Fenna and Bo"),
    Person("Gil Tarrow", "private", "Thank-you supper for the helpers"),
    Person("Quayside Choir", "business", "Concert reception"),
    Person("Ysolde Penn", "private", "Ysolde is seventy"),
    Person("Marek Stroud", "private", "Engagement of Marek and Una"),
    Person("Sedge Valley School", "business", "Prize day"),
    Person("Tilda Arkwell", "planner", "Riverside wedding for Arkwell"),
    Person("Noor Hallow", "private", "Wedding of Noor and Emil"),
)


class Place(NamedTuple):
    """A place of an event, with the drive one way in km and minutes."""

    name: str
    km: str
    minutes: str


PLACES: Final = (
    Place("Millrace Barn, Lower Sedge", "31", "35"),
    Place("Quay Hall, Port Merrin", "3", "10"),
    Place("Calder House, Upper Sedge", "42", "50"),
    Place("The Old Ropewalk, Port Merrin", "2", "8"),
    Place("Arkwell Farm, Dunmoor", "26", "30"),
    Place("Lower Sedge Hall, Lower Sedge", "30", "35"),
)


def address_of(person: Person) -> str:
    """Return an e-mail address under the reserved example domain."""
    return person.name.lower().replace(" ", ".") + "@post.example"
