"""Names that usually stand for alcohol or gelatin, nearly right ones, and words that only look like an allergen."""

from catalog.pantry.diets import facts_asked, named_facts
from catalog.pantry.kind_words import foods_named
from catalog.pantry.name_words import allergens_named
from tests.each import each


@each(
    ("name", "code"),
    [
        ("Vanilla extract", "alcohol"),
        ("Pure vanilla bean extract", "alcohol"),
        ("Vanilleextrakt", "alcohol"),
        ("Extrait de vanille", "alcohol"),
        ("Almond essence", "alcohol"),
        ("Aromatic bitters", "alcohol"),
        ("Gelantine leaves", "gelatin"),
        ("Gelatne sheets", "gelatin"),
        ("Marshmalow", "gelatin"),
        ("Amareto", "alcohol"),
    ],
)
def test_what_a_name_usually_stands_for_is_asked(name: str, code: str) -> None:
    assert code in dict(facts_asked(name))


@each(
    "name",
    [
        "Alcohol-free vanilla extract",
        "Vanilla sugar",
        "Malt extract",
        "Yeast extract",
        "Vanilla flavoring",
        "Granulated sugar",
    ],
)
def test_what_says_otherwise_is_not(name: str) -> None:
    assert not list(facts_asked(name))


def test_what_is_named_for_certain_is_not_asked_besides() -> None:
    assert dict(named_facts("Gelatine leaves")) == {"gelatin": "Gelatine"}
    assert not list(facts_asked("Gelatine leaves"))


@each(("name", "code"), [("Mascarpne", "milk"), ("Marzpian", "almonds"), ("Tahiny", "sesame"), ("Semolna", "wheat")])
def test_an_allergens_name_is_read_with_a_slip_in_it(name: str, code: str) -> None:
    assert code in allergens_named(name)


def test_edamame_is_soy_and_no_cheese() -> None:
    assert foods_named("Edamame") == ("soybeans",)
    assert "milk" in foods_named("Edam, grated")
