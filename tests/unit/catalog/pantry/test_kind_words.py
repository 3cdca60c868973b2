"""Names of foods that are made of an allergen and do not name it."""

import pytest

from catalog.pantry.diets import named_facts
from catalog.pantry.kind_words import foods_named, kinds_named, maybe_made_with
from tests.each import each


@each(
    ("name", "code"),
    [
        *((name, "pine-nuts") for name in ("Pignoli", "Pinoli", "Pignoli crumbs", "Piñones", "Pijnboompitten")),
        *((name, "wheat") for name in ("Kamut flakes", "Farro", "Panko", "Feuilletine", "Speculoos spread")),
        *((name, "wheat") for name in ("Grieß", "Weizengriess", "Grünkern", "Blätterteig", "Semoule fine")),
        *((name, "gluten") for name in ("Semmelbrösel", "Paniermehl", "Toast bread", "Filo sheets")),
        *((name, "wheat") for name in ("Zwieback", "Biskuitboden", "Löffelbiskuit")),
        *((name, "gluten") for name in ("Edible wafer cup", "Gaufrettes", "Galletas", "Savoiardi")),
        *((name, "milk") for name in ("Topfen", "Topfennockerl", "Schlagobers", "Obers", "Rahm", "Schlag")),
        *((name, "milk") for name in ("Slagroom", "Nata montada", "Petit-lait", "Fromage blanc", "Hazelnut spread")),
        *((name, "eggs") for name in ("Albumen powder", "Eiklar", "Dotter", "Eigelb", "Hühnereiweiß", "Tuorli")),
        *((name, "fish") for name in ("Isinglass", "Hausenblase", "Colla di pesce", "Sardellen")),
        *((name, "tree-nuts") for name in ("Krokant", "Nougat", "Croccante", "Baklava")),
        *((name, "almonds") for name in ("Marzipan", "Bittermandelöl", "Mandeleis", "Massepain", "Macarons")),
        *((name, "sulphites") for name in ("Aprikosen, geschwefelt", "Weißwein", "Vin blanc", "E 220")),
        *((name, "soybeans") for name in ("Tamari", "Tempeh", "Lecithin")),
        *(
            (name, "wheat")
            for name in ("Flour", "White flour", "Strong flour", "Self-raising flour", "T55", "Nut-free flour")
        ),
        *(
            (name, "wheat")
            for name in ("Self-rising flour", "Mehl", "Mehl Type 405", "Weißmehl", "Farine T45", "Farine")
        ),
        *(
            (name, "wheat")
            for name in ("Farina 00", "Farina", "Harina", "Harina de fuerza", "Bloem", "Zelfrijzend bakmeel")
        ),
        *((name, "wheat") for name in ("Almonds, flour", "Flour for almond cake", "Tipo 00", "Sugar and flour")),
        *((name, "milk") for name in ("White couverture", "Couverture", "Kuvertüre", "Caramel sauce", "Karamellsoße")),
        ("Pumpernickel", "rye"),
        ("Malzextrakt", "barley"),
        ("Za'atar", "sesame"),
        ("Sedano", "celery"),
    ],
)
def test_a_kind_of_food_is_read_as_what_it_is_made_of(name: str, code: str) -> None:
    assert code in foods_named(name)


@each(
    "name",
    [
        "Sugar, fine",
        "Bilderrahmen",
        "Maisgrieß",
        "Aprikosen, ungeschwefelt",
        "Sunflower lecithin",
        "Vegan meringue",
        "Coconut sugar",
        "Corn starch",
        *("Rice flour", "White rice flour", "Corn flour", "Buckwheat flour", "Chickpea flour", "Oat flour"),
        *("Farine de riz", "Farina di riso", "Harina de maíz", "Reismehl", "Maismehl", "Buchweizenmehl Type 0"),
        *("Flourless chocolate base", "Sunflower", "Zonnebloemolie", "Vegan couverture", "Rijstebloem"),
        "Apple juice",
        "Cardboard box",
    ],
)
def test_what_is_none_of_these_is_left_alone(name: str) -> None:
    assert kinds_named(name) == ()


@pytest.mark.parametrize(
    ("name", "fact"),
    [
        ("Marshmallows", "gelatin"),
        ("Blattgelatine", "gelatin"),
        ("Orange liqueur", "alcohol"),
        ("Limoncello", "alcohol"),
        ("Weißwein", "alcohol"),
        ("Eierlikör", "alcohol"),
        ("Vin blanc", "alcohol"),
        ("Blütenhonig", "other-animal"),
    ],
)
def test_what_some_guests_do_not_eat_is_read_too(name: str, fact: str) -> None:
    assert fact in dict(named_facts(name))


@pytest.mark.parametrize("name", ["Weißweinessig", "Alkoholfreies Bier", "Rum aroma", "White wine vinegar", "Ginger"])
def test_its_taste_alone_is_not(name: str) -> None:
    assert "alcohol" not in dict(named_facts(name))


@pytest.mark.parametrize(
    ("name", "maybe"),
    [
        ("Dragee pearls", ("almonds",)),
        ("Almond dragees", ()),
        ("Nougat", ("tree-nuts", "eggs")),
        ("Egg nougat", ("tree-nuts",)),
        *((name, ()) for name in ("Filberts", "Topfen", "Kamut", "Seitan", "Marzipan", "Peanut brittle")),
    ],
)
def test_what_is_made_with_it_or_without(name: str, maybe: tuple[str, ...]) -> None:
    assert maybe_made_with(name) == maybe
