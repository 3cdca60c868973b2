"""The words of derivations: what the computation's formulas and inputs are called where a person reads them."""

from typing import Final

from django.utils.translation import gettext_noop as marked

#: Formula of the computation -> how a figure came about, as a cook or a bookkeeper would say it.
FORMULAS: Final = {
    marked("units × (1 + spare), rounded up"): marked("Units sold plus spares, rounded up to whole pieces."),
    marked("the line's share of each ingredient's cost, by as-purchased mass"): marked(
        "The weight of each ingredient its recipes take, as purchased, × the price this order pays for it."
    ),
    marked("the line's share of the cost of what it is packed in"): marked(
        "The packaging of every unit × the price this order pays for it."
    ),
    marked("loads × per load + made × per unit + the line's share of each recipe's work, by grams"): marked(
        "Loads × labor per load, plus units made × labor per unit, plus its share of the labor in each recipe, by"
        " weight."
    ),
    marked(
        "labor hours × overhead per labor hour + loads × station cost per load + the line's share of the"
        " overhead per order (by ingredients + packaging + labor)"
    ): marked(
        "Labor hours × overhead per labor hour, plus loads × oven and cold room per load, plus its share of the"
        " overhead of each order. Products share that by what they cost in ingredients, packaging and labor."
    ),
    marked("ingredients + packaging + labor + overhead"): marked(
        "Ingredients, packaging, labor and overhead together."
    ),
    marked("cost ÷ units"): marked("Cost ÷ units sold."),
    marked("the larger of unit cost ÷ (1 − margin) × tax factor and the minimum, rounded up to the price step"): marked(
        "Unit cost ÷ (100% − target margin) × price with tax over price before tax, or the minimum price of the rule"
        " where that is more; rounded up to the price step."
    ),
    marked("the price given by hand"): marked("The price override you entered for this order."),
    marked("the product's list price"): marked("The list price of the product."),
    marked("the target price"): marked("The price by the rule."),
    marked("unit price × units"): marked("Price each × units sold."),
    marked("amount ÷ tax factor"): marked("Amount ÷ price with tax over price before tax."),
    marked("(net − cost) ÷ net; none without revenue"): marked("(Amount before tax − cost) ÷ amount before tax."),
    marked("Σ of the lines' amounts"): marked("The amounts of all products added up."),
    marked("rush rate × goods when in a rush, rounded"): marked("Rush fee rate × products, rounded."),
    marked("discount × goods, rounded"): marked("Discount × products, rounded."),
    marked("order minimum − (goods − discount), when above zero"): marked("Minimum order − (products − discount)."),
    marked("the price of delivery"): marked("The price of the delivery."),
    marked("Σ of the extras' amounts"): marked("The prices of all rentals and extras added up."),
    marked("Σ charged × rate, rounded once"): marked("Everything charged at this tax × its rate, rounded once."),
    marked("Σ charged × rate ÷ (1 + rate), rounded once"): marked(
        "Everything charged at this tax × its rate ÷ (100% + rate), rounded once."
    ),
    marked("Σ of the taxable amounts"): marked("The amounts before tax added up."),
    marked("revenue + Σ of the taxes"): marked("Revenue before tax plus tax."),
    marked("Σ of the lines' costs + delivery + extras"): marked(
        "The costs of all products, of the delivery and of rentals and extras added up."
    ),
    marked("(goods net of tax, after discount, surcharge and minimum − Σ of the lines' costs) ÷ goods net"): marked(
        "(Products before tax − their cost) ÷ products before tax. Discount, rush fee and minimum-order charge are"
        " counted in."
    ),
    marked("(revenue − all costs) ÷ revenue"): marked("(Revenue before tax − total cost) ÷ revenue before tax."),
    marked("minutes × pay per minute + 2 × km × rate per km"): marked(
        "Minutes of the crew × pay per minute, plus 2 × the distance one way × cost by distance."
    ),
    marked("cost ÷ (1 − margin) × tax factor, rounded up to the price step"): marked(
        "Delivery cost ÷ (100% − margin), plus tax where prices include it, rounded up to the price step."
    ),
    marked("as purchased × the lowest price of the preferred packs, else of all"): marked(
        "Quantity to buy × the lowest price among the preferred packs, or among all where none is preferred."
    ),
    marked("the cheapest whole packs that cover what is purchased"): marked(
        "The cheapest whole packs that cover the quantity to buy, each at its price."
    ),
    marked(
        "ready to use ÷ yield, a part ÷ its share; joint parts count once, at the largest; waste added by mass"
    ): marked(
        "Ready to use ÷ yield, and a part ÷ its share, plus waste. Parts that come from the same piece count once, at"
        " the largest."
    ),
    marked("leftover × cost ÷ bought"): marked("Quantity left over × cost ÷ quantity bought."),
}
#: The same where prices are without tax, or the customer pays none.
UNTAXED: Final = {
    marked("the larger of unit cost ÷ (1 − margin) × tax factor and the minimum, rounded up to the price step"): marked(
        "Unit cost ÷ (100% − target margin), or the minimum price of the rule where that is more; rounded up to the"
        " price step."
    ),
    marked("amount ÷ tax factor"): marked("The amount as it is: prices are before tax."),
}
#: Input of a formula -> its name.
INPUTS: Final = {
    "units": marked("Units sold"),
    "made": marked("Units made, with spares"),
    "spare": marked("Spares"),
    "loads": marked("Loads"),
    marked("per load"): marked("Labor per load"),
    marked("per unit"): marked("Labor per unit"),
    "labor": marked("Labor"),
    "ingredients": marked("Ingredients"),
    "packaging": marked("Packaging"),
    "overhead": marked("Overhead"),
    "cost": marked("Cost"),
    marked("unit cost"): marked("Unit cost"),
    marked("overhead per labor hour"): marked("Overhead per labor hour"),
    marked("station cost per load"): marked("Oven and cold room per load"),
    marked("overhead per order"): marked("Overhead per order"),
    marked("share of the overhead per order"): marked("Its share of the overhead per order"),
    "rule": marked("Price rule"),
    "margin": marked("Target margin"),
    "minimum": marked("Minimum price"),
    marked("tax factor"): marked("Price with tax over price before tax"),
    marked("price step"): marked("Price step"),
    marked("the price given by hand"): marked("Price override"),
    marked("the product's list price"): marked("List price"),
    marked("the target price"): marked("Price by the rule"),
    marked("unit price"): marked("Price each"),
    "amount": marked("Amount"),
    "net": marked("Amount before tax"),
    "goods": marked("Products"),
    marked("rush rate"): marked("Rush fee rate"),
    "discount": marked("Discount"),
    marked("order minimum"): marked("Minimum order"),
    "delivery": marked("Delivery"),
    "extras": marked("Rentals and extras"),
    marked("surcharge − discount + top-up"): marked("Rush fee and minimum-order charge less discount"),
    "rate": marked("Tax rate"),
    "revenue": marked("Revenue before tax"),
    marked("goods net"): marked("Products before tax"),
    marked("lines' costs"): marked("Cost of products"),
    marked("all costs"): marked("Total cost"),
    "minutes": marked("Minutes of the crew"),
    marked("pay per minute"): marked("Pay per minute"),
    marked("km one way"): marked("Distance one way"),
    marked("taxed as"): marked("Tax category"),
    marked("ready to use"): marked("Ready to use"),
    "yield": marked("Yield"),
    "waste": marked("Waste"),
    marked("as purchased"): marked("Quantity to buy"),
    marked("price each"): marked("Price each"),
    "leftover": marked("Quantity left over"),
}
#: Inputs without a unit that are shares and read as percentages.
SHARES: Final = frozenset({"spare", "margin", marked("rush rate"), "discount", "rate", "yield", "waste"})
#: Inputs that are treated apart: one is left out where it is 1, and two are prices of another measure than is shown.
TAX_FACTOR: Final = marked("tax factor")
PRICE_PER_G: Final = marked("price per g")
RATE_PER_KM: Final = marked("rate per km")
