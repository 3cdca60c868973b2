"""Words that claim to be free of something, and words that deny it."""

import pytest

from catalog.pantry.declarations import FREE, MAY, declared, questions
from catalog.products.claims import claims_in
from catalog.products.kitchen_claims import kitchen_claims
from tests.each import each

ALL_FREE = dict.fromkeys(questions("us"), FREE)
PANTRY = [
    ("Hazelnut paste", declared(["hazelnuts"], {code: FREE for code in ALL_FREE if code != "hazelnuts"}, "us")),
    ("Chocolate", declared([], ALL_FREE | {"almonds": MAY}, "us")),
    ("Sugar", declared([], ALL_FREE, "us")),
]


@each(
    ("text", "needs"),
    [
        ("Rein pflanzlich", ["vegan"]),
        ("Törtchen, rein pflanzliche Creme", ["vegan"]),
        ("Only plant ingredients", ["vegan"]),
        ("100 % végétal", ["vegan"]),
        ("Solo ingredienti vegetali", ["vegan"]),
        ("Free of the big nine", ["allergens"]),
        ("Free from the top 14 allergens.", ["allergens"]),
        ("Safe for pregnant guests", ["no-raw-egg", "no-alcohol"]),
        ("Auch für Schwangere", ["no-raw-egg"]),
        ("Convient aux femmes enceintes", ["no-raw-egg"]),
        ("No raw egg", ["no-raw-egg"]),
        ("Sans œufs crus", ["no-raw-egg"]),
        ("Kein Tropfen Alkohol", ["no-alcohol"]),
        ("Sans une goutte d'alcool", ["no-alcohol"]),
        ("A non-alcoholic trifle", ["no-alcohol"]),
        ("Good for school lunches", ["allergens"]),
        ("Fine for the lunchbox", ["allergens"]),
        ("A safe choice for the two", ["guests"]),
        ("Non-dairy", ["milk"]),
        ("Zero-gluten", ["gluten"]),
        ("There isn't a trace of nut in these", ["tree-nuts"]),
        ("Not so much as a hint of milk.", ["milk"]),
        ("Sie enthalten weder Nüsse noch Ei", ["tree-nuts", "eggs"]),
        ("ni noix ni lait", ["tree-nuts", "milk"]),
        ("né noci né latte", ["tree-nuts", "milk"]),
        ("Neither nuts nor milk", ["tree-nuts", "milk"]),
        ("It is safe for cœliacs", ["gluten"]),
        ("Les cœliaques peuvent en manger", ["gluten"]),
        ("Veganer können das essen", ["vegan"]),
        ("Anyone with a nut allergy may tuck in", ["tree-nuts"]),
        ("Our kitchen is free of nuts.", ["tree-nuts"]),
        ("Not made with nuts.", ["tree-nuts"]),
        ("Une tarte, pas de noisettes", ["hazelnuts"]),
        ("Auch für Nussallergiker", ["tree-nuts"]),
        ("Zöliakie-sicher", ["gluten"]),
        ("It can be eaten by coeliacs.", ["gluten"]),
        ("Devoid of nuts.", ["tree-nuts"]),
        ("Laktosefrei", ["milk"]),
        ("Kosher pareve", ["milk"]),
        ("Dairy? None.", ["milk"]),
        ("Not a nut in sight.", ["tree-nuts"]),
        ("0% dairy", ["milk"]),
        ("Gluten has no place here.", ["gluten"]),
        ("Wheat stays out of it.", ["wheat"]),
        ("Dairy is not a problem with this one.", ["milk"]),
        ("Nuts aren't an issue.", ["tree-nuts"]),
        ("Milk is a thing of the past here.", ["milk"]),
        ("Glutenfri", ["gluten"]),
        ("Our only dessert that nut allergy sufferers can enjoy", ["tree-nuts"]),
        ("Nuts: none", ["tree-nuts"]),
        ("We leave the nuts out.", ["tree-nuts"]),
        ("We left out the walnuts for you.", ["walnuts"]),
        ("A nutless bar", ["tree-nuts"]),
        ("Eggless sponge", ["eggs"]),
        ("School-safe treats", ["allergens"]),
        ("Nut allergy? No problem!", ["tree-nuts"]),
        ("Allergies? No problem.", ["allergens"]),
        ("Celiacs welcome.", ["gluten"]),
        ("Good for those avoiding nuts.", ["tree-nuts"]),
        ("A good choice for people with a milk allergy.", ["milk"]),
        ("Free of alcohol.", ["no-alcohol"]),
        ("No animal products.", ["vegan"]),
        ("Your guests can eat this one.", ["guests"]),
        ("Aunt Rosa can eat this one.", ["guests"]),
        ("She may have every dessert.", ["guests"]),
        ("People with a nut allergy can eat this one.", ["tree-nuts"]),
        ("It will not harm her.", ["guests"]),
        ("It won't hurt your guest.", ["guests"]),
        ("There is nothing in it that could hurt.", ["guests"]),
        ("There are no filberts or walnuts in the crunch bar.", ["hazelnuts", "walnuts"]),
        ("There are no quandongs or walnuts in it.", ["walnuts"]),
        ("Without coconut, walnuts or pecans.", ["walnuts", "pecans"]),
        ("No walnuts, coconut or milk.", ["walnuts", "milk"]),
        ("No treenuts, no marzipan.", ["tree-nuts", "almonds"]),
        ("Frangipane-free, without praline.", ["almonds", "tree-nuts"]),
        ("All we bake is free from tree nuts and peanuts.", ["tree-nuts", "peanuts"]),
        ("We use no milk, eggs or nuts.", ["milk", "eggs", "tree-nuts"]),
        ("We are a nut-free kitchen.", ["tree-nuts"]),
        ("Nut-, milk- and gluten-free.", ["tree-nuts", "milk", "gluten"]),
        ("Made with milk and gluten-free flour.", ["gluten"]),
        ("Suitable for coeliacs.", ["gluten"]),
        ("It is safe for celiacs.", ["gluten"]),
        ("We do not use hazelnuts.", ["hazelnuts"]),
        ("We don’t bake with rye.", ["rye"]),
        ("We never handle shellfish.", ["crustaceans"]),
        ("Nothing here contains nuts.", ["tree-nuts"]),
        ("There are no traces of sesame.", ["sesame"]),
        ("Without any known allergens.", ["allergens"]),
        ("We cannot promise much, but we are free of nuts.", ["tree-nuts"]),
        ("Made without peanuts. We cannot promise that anything is free of nuts.", ["peanuts"]),
        ("Safe for people with nut allergies.", ["tree-nuts"]),
        ("All our desserts are safe for coeliacs.", ["gluten"]),
        ("Celiac-safe kitchen.", ["gluten"]),
        ("Nutfree!", ["tree-nuts"]),
        ("Peanuts never enter our building.", ["peanuts"]),
        ("There is no risk of cross-contact.", ["allergens"]),
        ("Nothing here has ever met a nut.", ["tree-nuts"]),
        ("strictly vegan kitchen", ["vegan"]),
        ("You need not worry about allergies; everything is fine for everyone.", ["allergens", "allergens"]),
        ("Everything is fine for everyone.", ["allergens"]),
        ("You need not worry about allergies.", ["allergens"]),
        ("Don't worry about nuts.", ["tree-nuts"]),
        ("gluten free kitchen", ["gluten"]),
        ("Glutenfree", ["gluten"]),
        ("We are a nut free bakery", ["tree-nuts"]),
        ("Our cakes have never met a nut.", ["tree-nuts"]),
        ("We have never used nuts.", ["tree-nuts"]),
        ("This kitchen has never seen a peanut.", ["peanuts"]),
        ("Nuts are never used.", ["tree-nuts"]),
        ("Eggs are not handled here.", ["eggs"]),
        ("Suitable for anyone with a milk allergy.", ["milk"]),
        ("Fine for guests who are allergic to nuts.", ["tree-nuts"]),
        ("OK for allergy sufferers.", ["allergens"]),
        ("No allergens at all.", ["allergens"]),
        ("There is zero risk of contamination.", ["allergens"]),
        ("No chance of a reaction.", ["allergens"]),
        ("Cross-contact is impossible.", ["allergens"]),
        ("No cross-contamination.", ["allergens"]),
        ("Cross contact cannot happen.", ["allergens"]),
        ("Allergies are no problem.", ["allergens"]),
        ("We cater for all allergies.", ["allergens"]),
        ("100% safe.", ["allergens"]),
        ("Completely safe.", ["allergens"]),
        ("Hypoallergenic.", ["allergens"]),
        ("Allergy-friendly baking.", ["allergens"]),
        ("Nut-safe.", ["tree-nuts"]),
        ("Everything is vegan.", ["vegan"]),
        ("All our desserts are vegan.", ["vegan"]),
        ("We are a vegetarian kitchen.", ["vegetarian"]),
        ("100 % vegan", ["vegan"]),
        ("plant-based kitchen", ["vegan"]),
        ("Alle Torten sind glutenfrei.", ["gluten"]),
        ("Nussfreie Küche", ["tree-nuts"]),
        ("Milchfrei gebacken", ["milk"]),
        ("Ohne Nüsse.", ["tree-nuts"]),
        ("Frei von Erdnüssen", ["peanuts"]),
        ("Sans gluten", ["gluten"]),
        ("Sans noix ni lait", ["tree-nuts", "milk"]),
        ("sans fruits à coque", ["tree-nuts"]),
        ("Sin gluten", ["gluten"]),
        ("sin frutos secos", ["tree-nuts"]),
        ("sin leche", ["milk"]),
        ("senza glutine", ["gluten"]),
        ("senza latte", ["milk"]),
        ("glutenvrij", ["gluten"]),
        ("sem glúten", ["gluten"]),
        ("Dairyfree", ["milk"]),
        ("Suitable for people who cannot eat wheat.", ["wheat"]),
        ("Our oven has never touched gluten.", ["gluten"]),
        ("None of our cakes contain peanuts.", ["peanuts"]),
        ("No dessert here contains sesame.", ["sesame"]),
        ("Nuts do not enter the kitchen.", ["tree-nuts"]),
        ("Suitable for vegans.", ["vegan"]),
        ("It is harmless to coeliacs, safe for celiacs.", ["gluten"]),
        ("It suits your vegan guests.", ["vegan"]),
        ("Almond cake (GF, DF)", ["gluten", "milk"]),
        ("A crisp biscuit (gf). Everyone can eat this.", ["gluten", "allergens"]),
        ("A crisp biscuit, g.f.", ["gluten"]),
        ("Anybody can eat it.", ["allergens"]),
        ("All guests can eat this cake.", ["guests", "allergens"]),
        ("Suitable for everyone.", ["allergens"]),
        ("Sušenka bez lepku", ["gluten"]),
        ("A g l u t e n free biscuit", ["gluten"]),
        ("N u t - f r e e", ["tree-nuts"]),
        ("Your walnut guest can eat the mousse.", ["walnuts"]),
        ("Vegans can have the tart.", ["vegan"]),
        ("Celiacs may enjoy it.", ["gluten"]),
        ("She can eat everything.", ["guests"]),
        ("Your guests can eat all of it.", ["guests"]),
        ("There is nothing to worry about.", ["guests"]),
        ("There is nothing to worry about with nuts.", ["tree-nuts"]),
        ("No need to worry.", ["guests"]),
        ("It is safe for her.", ["guests"]),
        ("Safe for them.", ["guests"]),
        ("The mousse is fine for your guest.", ["guests"]),
        ("The mousse is fine for your walnut guest.", ["walnuts"]),
        ("Fine for your coeliac aunt.", ["gluten"]),
        ("Geeignet für Veganer.", ["vegan"]),
        ("Sicher für Ihre Gäste.", ["guests"]),
        ("Convient aux cœliaques.", ["gluten"]),
        ("Apto para celíacos.", ["gluten"]),
        ("Seguro para ella.", ["guests"]),
        ("Adatto ai celiaci.", ["gluten"]),
        ("Geschikt voor veganisten.", ["vegan"]),
        ("Adequado para celíacos.", ["gluten"]),
    ],
)
def test_a_claim_is_found_with_all_it_names(text: str, needs: list[str]) -> None:
    assert [claim.need for claim in claims_in(text)] == needs


@each(
    "text",
    [
        "We cannot promise that anything is free of nuts.",
        "We can’t guarantee there are no nuts in it.",
        "Nothing we make is free of nuts.",
        "Our kitchen is not nut-free.",
        "No dessert is free from milk.",
        "Not suitable for coeliacs.",
        "We cannot promise that it is safe for celiacs.",
        "We bake with walnuts every day.",
        "We cannot promise nut-free.",
        "We cannot promise that anything is nut-free.",
        "We cannot promise that it is safe for people with nut allergies.",
        "Nothing here is safe for coeliacs.",
        "Not safe for people with nut allergies.",
        "We are not a gluten free kitchen.",
        "This is no nut-free kitchen.",
        "We have no dedicated gluten-free area.",
        "We can’t guarantee there is no risk of cross-contact.",
        "There is no guarantee that there is no cross-contact.",
        "Cross-contact is possible.",
        *("Everyone can eat this except coeliacs.", "Not everyone can eat this.", "The biscuit is not gf."),
        "There is a risk of cross-contact.",
        "Traces of nuts are possible.",
        "Please ask whether it is safe for you and your allergies.",
        "Ask us if it is suitable for coeliacs.",
        "Nuts are handled here every day.",
        "We use nuts, milk and eggs.",
        "Peanuts enter our kitchen.",
        "Nothing we make is vegan.",
        "The tart is not vegan.",
        "Wir können nicht garantieren, dass es glutenfrei ist.",
        "Nicht glutenfrei.",
        "Nous ne pouvons pas garantir sans gluten.",
        "No podemos garantizar que sea sin gluten.",
        "No worries about parking.",
        "Ohne eine Frage.",
        "Made with lactose-free milk.",
        "Sin vista.",
        "Perfect with coffee.",
        "Safe for freezing.",
        "Free delivery.",
        "Made with nuts.",
        "Nuts: walnuts and pecans",
        "We can leave the nuts out if you like.",
        "We cannot leave the nuts out.",
        "Parking? No problem.",
        "Can we come at five? No problem!",
        "Vegans are welcome to ask.",
        "Everybody is welcome.",
        "Good for a hot day.",
        "Perfect for your guests.",
        "Not good for those avoiding nuts.",
        "You can have this one at five.",
        "We can have this cake ready on Friday.",
        "They can have it at five.",
        "It will not hurt to order early.",
        "The stand will not harm the tablecloth.",
        "We cannot promise that it will not harm her.",
        "She cannot eat this one.",
        "People with a nut allergy cannot eat this one.",
        "No animals in the yard, please.",
        "No delivery fee, walnuts on top.",
        "No worries: the tart or the walnut cake can wait.",
        "We have no pick-up on Mondays or Sundays. The cake has walnuts.",
        "Cake with walnuts — free delivery.",
        "People with a nut allergy should not eat here.",
        "Guests with nut allergies should not use the buffet.",
        "If somebody at your table has an allergy, speak with us first.",
        "Everything is made in one kitchen, so traces of other allergens are possible.",
        "Milk chocolate mousse with hazelnuts",
        "Do not assume that our food is free of nuts.",
        "Never assume it is nut-free.",
        "Unsuitable for coeliacs.",
        "We cannot rule out traces of nuts.",
        "No kitchen is free of risk.",
        "Served without a box.",
        "It is not 100% nut-free.",
        "It may not be safe for people with allergies.",
        "We cannot say that there is no risk of an allergic reaction.",
        "Tuesday is fine for us.",
        "Is Tuesday fine for you?",
        "The color suits the hall.",
        "It suits coffee lovers.",
        "GF: Anna Muster",
        "A gift for my gf",
        "The file is a PDF.",
        "She cannot eat everything.",
        "Your guests can't eat all of it.",
        "Your guests can enjoy the view.",
        "Your walnut guest cannot eat the mousse.",
        "Vegans can't have the tart.",
        "Walnuts can have shells.",
        "Everyone can eat everything but the tart.",
        "Your guests can have everything except the tart.",
        "Not suitable for your vegan guests.",
        "Not safe for her.",
        "It is not GF.",
        "Ask us whether it is safe for them.",
        "Nicht für Schwangere.",
        "With raw egg: not for pregnant guests.",
        "We cannot promise that it is safe for pregnant guests.",
        "Les cœliaques ne peuvent pas en manger.",
        "Zöliakie-Betroffene können das nicht essen.",
        "There isn't a trace of doubt.",
        "The big nine o'clock party.",
        "Only plants stand on the table.",
        "A safe choice of colors.",
        "Fine for your guests to arrive at five.",
        "There is a lot to worry about.",
        "Nothing to worry about with parking.",
        "Nicht geeignet für Veganer.",
        "No apto para celíacos.",
    ],
)
def test_words_that_warn_are_no_claim(text: str) -> None:
    assert list(claims_in(text)) == []


@pytest.mark.parametrize(
    "dash", ["\u2010", "\u2011", "\u2012", "\u2013", "\u2014", "\u2212", "\u00ad", "\u200b", "-\u200d", "\u00a0"]
)
def test_a_claim_is_read_whatever_its_dash(dash: str) -> None:
    assert [claim.need for claim in claims_in(f"The bar is nut{dash}free.")] == ["tree-nuts"]
    assert [claim.need for claim in claims_in(f"Glu\u200bten{dash}free.")] == ["gluten"]
    assert [claim.need for claim in claims_in(f"A plant{dash}based cake")] == ["vegan"]


def test_what_contains_it_may_contain_it_or_was_not_checked_is_named() -> None:
    (claim,) = kitchen_claims("We are free of nuts.", "us", [*PANTRY, ("Ribbon", declared([], {}, "us"))])
    assert claim.words == "free of nuts"
    assert (claim.contains, claim.may, claim.unchecked) == (("Hazelnut paste",), ("Chocolate",), ("Ribbon",))


def test_packaging_that_never_touches_the_food_is_no_matter() -> None:
    box = ("Box", declared([], {}, "us", touches=False))
    assert kitchen_claims("We are free of milk.", "us", [*PANTRY, box]) == ()
    assert kitchen_claims("Free of all allergens.", "us", [PANTRY[2], box]) == ()
    assert kitchen_claims("Free of all allergens.", "us", PANTRY)


def test_a_diet_says_nothing_of_traces() -> None:
    assert kitchen_claims("We make vegan cakes too.", "us", PANTRY) == ()


def test_a_kitchen_that_calls_itself_vegan_is_held_to_it() -> None:
    assert kitchen_claims("We make plant based cakes too.", "us", PANTRY) == ()
    (claim,) = kitchen_claims("A strictly vegan kitchen.", "us", [("Milk", declared(["milk"], ALL_FREE, "us"))])
    assert (claim.words, claim.contains) == ("strictly vegan", ("Milk",))


def test_what_is_fine_for_certain_guests_is_held_to_their_needs() -> None:
    words = "It is fine for your guest."
    assert kitchen_claims(words, "us", PANTRY) == ()
    (claim,) = kitchen_claims(words, "us", PANTRY, guests=["hazelnuts"])
    assert (claim.words, claim.contains) == ("fine for your guest", ("Hazelnut paste",))
    assert kitchen_claims(words, "us", PANTRY, guests=["eggs"]) == ()


def test_what_is_safe_for_guests_nobody_knows_holds_nothing() -> None:
    (claim,) = kitchen_claims("It is safe for her.", "us", PANTRY)
    assert claim.contains == ("Hazelnut paste",)


def test_what_will_not_harm_holds_nothing_where_nobody_is_known() -> None:
    (claim,) = kitchen_claims("It will not harm her.", "us", PANTRY)
    assert claim.contains == ("Hazelnut paste",)
