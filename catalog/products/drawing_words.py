"""Words in the names of desserts, and the line drawing that each speaks for."""

from typing import Final

from catalog.products.models import ProductPicture

Kind = ProductPicture.Drawing
#: What a name or a category speaks of, the most telling first: a custard tart is a tart, a tart in a cup too.
_SPEAKS_OF: Final = (
    (Kind.TART, "tart|tarts|tartlet|tartlets|pie|pies|galette|quiche|flan|crostata"),
    (Kind.COOKIE, "meringue|meringues|kisses|pavlova|cookie|cookies|biscuit|biscuits|shortbread|wafer|wafers|macaron"),
    (Kind.BITE, "bite|bites|petit|petits|truffle|truffles|bonbon|bonbons|praline|choux|profiterole|profiteroles|mini"),
    (Kind.SLAB, "square|squares|bar|bars|slab|sheet|loaf|loaves|brownie|brownies|blondie|traybake|pound|slice|slices"),
    (Kind.ROUND, "cake|cakes|torte|gateau|gâteau|layer|tier|tiers"),
    (Kind.GLASS, "glass|glasses|trifle|parfait|verrine|tumbler|jar|mousse|fool|sundae"),
    (Kind.POT, "pot|pots|ramekin|custard|custards|brulee|brûlée|pudding|puddings|caramel"),
    (Kind.GLASS, "cup|cups|cream|set|jelly"),
)
KNOWN: Final = tuple((kind, frozenset(words.split("|"))) for kind, words in _SPEAKS_OF)
