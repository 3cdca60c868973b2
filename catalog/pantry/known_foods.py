"""Whether a name says what something is: a food or a thing we know, in any of its words, or nothing that we can read.

Of a trade's own name nobody can tell what is in it, so its label's list of ingredients is asked for. No brand is listed
here: known are the foods of the bundled USDA table, the common ingredients, and plain words of six languages.
"""

import re
from functools import cache
from typing import Final

from catalog.pantry.common import common_ingredients
from catalog.pantry.diets import facts_asked, named_facts
from catalog.pantry.food_table import foods
from catalog.pantry.food_words import is_packaging
from catalog.pantry.kind_words import foods_named
from catalog.pantry.name_words import folded


def _listed(words: str) -> frozenset[str]:
    """Return the words of a text, each once."""
    return frozenset(words.split())


#: Plain foods and what they are made into, without accents; the beginnings of words. Common practice, no source.
_PLAIN: Final = _listed(
    """
    zucker sucre zucchero azucar suiker mehl farin farine harina bloem salz sel sale sal zout hefe levure lievito
    levadura gist natron backpulver soda starke amidon fecul maizena maisst amido almidon zetmeel wasser water eau
    acqua agua essig aceto vinaigre vinagre azijn honig miel miele honing sirup sirop sciroppo jarabe siroop kakao
    cacao cocoa schokolad chocolat cioccolat kuvertur couverture vanill vainilla zimt cannelle cannella canela
    kaneel ingwer gingembre zenzero jengibre gember kardamom cardamom nelke girofle muskat muscade apfel pomme mela
    manzana appel birne poire pera peer zitron citron limone limon citroen orange arancia naranja sinaasappel
    himbeer framboise lampone frambuesa framboos erdbeer fraise fragola fresa aardbei heidelbeer myrtille mirtillo
    kirsch cerise ciliegia cereza kers pflaum prune prugna ciruela pruim aprikos marille abricot albicocca
    albaricoque pfirsich peche pesca quitt coing traub raisin uva rosin banan ananas mango kokos coco cocco kaffee
    cafe caffe koffie coffee espresso tee tea matcha the ol oel oil huile olio aceite olie margarin schmalz fett
    shorten reis riz riso arroz rijst mais maiz polenta mohn pavot papavero sonnenblum kurbis zucchini karott
    carotte mohre gelatin gelee agar pektin pectin guar xanthan aroma extrakt extract essenz farb colour color
    glasur glaze icing fondant streusel sprinkle rum brandy likor liqueur wein wine sekt whisk whiskey amaretto
    kirschwasser marmelad jam konfitur confiture jelly preserve puree mus kompott rosenwasser lavendel minze mint
    basil thym rosmar lorbeer pfeffer poivre pepper chili curry tapioka tapioca sago quinoa amarant hirse millet
    buchweizen buckwheat chia lein flax hanf hemp stevia xylit erythrit parchment quince cassis curacao marnier
    cachaca jaggery panela piloncillo mahleb mahlab mastic chickpea kichererbs pois calamansi gula durian jackfruit
    powidl cloudberr lingonberr preiselbeer acai allspice piment sultana currant hojicha kewra rhubarb rhabarber
    mochiko shiratamako anko azuki adzuki kuromitsu salmiak liquorice lakritz kudzu arrowroot kastanie chestnut
    marron castagn mandarin bergamot grapefruit pomelo feige figue fichi dattel datte date fig plum guava papaya
    passion dextros glucos glukos fructos trehalos isomalt invert melass molass treacle caramel karamell yuzu ube
    pandan taro lychee longan tamarind hibisc rooibos sumac saffron safran anis fennel fenchel cumin kummel zest
    schale peel berry berries beere
    """
)
_WORD: Final = re.compile(r"[a-z]{2,}")
#: Words that say how something is, and not what: alone they say nothing.
_HOW: Final = _listed(
    """
    with without from and the for all raw fresh dry dried ground whole fine large small medium extra light dark
    white red green black brown yellow blue golden gold pink purple plain style type kind mix mixed blend special
    classic original natural pure prime best premium quality select choice super deluxe royal new old great northern
    southern american italian french german spanish english sweet sour bitter hot cold crisp crispy crunchy soft
    hard smooth creamy rich delight dream magic joy star sun moon house home kitchen chef baker bakers cook food
    foods product products brand prepared commercially ready eat made regular quick instant low fat free reduced
    added not non solids sliced chopped frozen canned baked cooked unsweetened sweetened enriched imitation
    artificial other various cut parts piece pieces snack snacks spread topping filling candies candy cereals cereal
    bar bars drink powder powdered liquid concentrate beverage beverages baby babyfood fast restaurant school lunch
    country farm garden valley market fruit
    """
)


def names_a_food(name: str) -> bool:
    """Return whether a name has a word of a food or of a thing that is packed with, in it."""
    plain = folded(name)
    if foods_named(name) or any(named_facts(name)) or any(facts_asked(name)) or is_packaging(name):
        return True
    words = _WORD.findall(plain)
    known = _known()
    return any(
        word in known or word.removesuffix("s") in known or any(one in word for one in _PLAIN if len(one) > 4)
        for word in words
    )


@cache
def _known() -> frozenset[str]:
    """Return single words by which a food is known, in small letters without accents."""
    names = [part for food in foods().values() for part in food.name.split(",")[:2]]
    # Names of makers stand in capitals in the table.
    of_table = {folded(word) for name in names for word in re.findall(r"[A-Za-z]{3,}", name) if not word.isupper()}
    of_common = {
        word
        for one in common_ingredients().values()
        for name in (*one.names.values(), *one.also)
        for word in _WORD.findall(folded(name))
    }
    return frozenset(word for word in {*of_table, *of_common, *_PLAIN} if word not in _HOW)
