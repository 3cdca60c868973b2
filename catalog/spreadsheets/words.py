"""Words of spreadsheets: columns, problems of rows, questions, what an import does and what undoing leaves."""

from typing import Final

from django.utils.translation import gettext_noop as marked

from catalog.price_lists.presenters import SENTENCES as OF_TABLES
from catalog.records.presenters import Sentences

#: Key of a column -> what it holds.
COLUMN_WORDS: Final = {
    "recipe": marked("Recipe"),
    "amount": marked("Amount"),
    "unit": marked("Unit"),
    "ingredient": marked("Ingredient"),
    "note": marked("Note"),
    "yield": marked("Yield"),
    "loss": marked("Loss, %"),
    "batch_limit": marked("Maximum batch"),
    "batch_min": marked("Minimum batch"),
    "recipe_note": marked("Recipe note"),
    "steps": marked("Steps"),
    "code": marked("Code"),
    "counted": marked("Counted only"),
    "density": marked("Density, g/ml"),
    "grams_each": marked("Piece weight, g"),
    "yield_share": marked("Yield, %"),
    "share": marked("Part of the piece, %"),
    "joint": marked("Parts of one piece"),
    "pack": marked("Pack"),
    "price": marked("Price"),
    "supplier": marked("Supplier"),
    "product": marked("Product"),
    "category": marked("Category"),
    "servings": marked("Servings"),
    "sale_multiple": marked("Sold in multiples of"),
    "list_price": marked("List price"),
    "tax": marked("Tax category"),
    "description": marked("Description"),
    "goes_in": marked("Recipe or packaging"),
    "name": marked("Name"),
    "email": marked("E-mail"),
    "phone": marked("Phone"),
    "address": marked("Address"),
    "country": marked("Country"),
    "kind": marked("Type"),
    "tax_exempt": marked("Tax exempt"),
    "tax_number": marked("Tax number"),
}

#: Problems of prices and packs are those of a price list.
_SHARED: Final = (
    "not_a_table", "not_text", "not_a_workbook", "old_workbook", "locked", "measure", "counted_only", "not_a_number",
    "two_readings",
    "price_by_weight", "price_by_measure", "price_of_a_piece", "other_currency", "pack_too_large", "too_dear",
    "negative", "ingredient_used", "ingredient_priced", "ingredient_changed", "price_corrected", "supplier_used",
)  # fmt: skip
SENTENCES: Final[Sentences] = {
    **{code: OF_TABLES[code] for code in _SHARED},
    # The file as a whole.
    "too_many_rows": marked("The sheet has more than {most} rows. Split it into several files."),
    "too_many_columns": marked("The sheet has more than {most} columns. Delete those that hold nothing of this."),
    "line_too_long": marked("A line of the file is too long for a table. Save it as CSV again, one row per line."),
    "no_rows": marked("The sheet has no rows. Choose another file, or save the sheet again."),
    "heads_alone": marked("The sheet has heads and no rows below them. Add the rows and choose the file again."),
    "no_such_sheet": marked("The workbook has no sheet of that name any more. Choose another."),
    "too_large": marked("The file is too large. Save only the table and choose it again."),
    "too_much": marked(
        "The file took more time or memory to read than a table does. Save only the table as CSV and choose it again."
    ),
    # A row.
    "no_recipe": marked("The row names no recipe. Enter the recipe it belongs to."),
    "no_ingredient": marked("The row has an amount and no ingredient. Enter the ingredient or recipe."),
    "no_amount": marked("The row has no amount. Enter one, such as 250 g or 1 1/2 cup."),
    "amount_date": marked(
        "The spreadsheet made a date of the amount ({text}). Enter the amount as it was, such as 1/2 cup."
    ),
    "not_in_recipe": marked("{name} is only counted and cannot go into a recipe. Use it as packaging."),
    "no_density": marked(
        "{name} has no density, so a volume cannot be converted to a weight. Enter the density on its page, or a"
        " weight here."
    ),
    "no_piece_weight": marked(
        "{name} has no piece weight, so a count cannot be converted to a weight. Enter the piece weight on its page,"
        " or a weight here."
    ),
    "new_no_density": marked(
        "{name} is new and its density is not known, so a volume cannot be converted to a weight. Enter a weight here,"
        " or import the ingredient with its density first."
    ),
    "new_no_piece_weight": marked(
        "{name} is new and its piece weight is not known, so a count cannot be converted to a weight. Enter a weight"
        " here, or import the ingredient with its piece weight first."
    ),
    "recipe_not_weighed": marked(
        "“{text}” of {name} cannot be weighed: it is made here. Enter a weight, such as 250 g."
    ),
    "two_values": marked("Another row of the same has “{other}”. Keep one of the two."),
    "not_a_percentage": marked("Enter a percentage from 0 to 99, such as 4."),
    "not_a_share": marked("Enter a percentage above 0 and up to 100, such as 85."),
    "not_a_mass": marked("“{text}” is not a weight. Enter one, such as 6 kg."),
    "not_above_zero": marked("Enter a number above 0."),
    "not_whole": marked("Enter a whole number from 1 to {most}."),
    "too_long": marked("The text is longer than {most} characters. Shorten it."),
    "yield_above": marked(
        "It makes {made:amount}, and only {inputs:amount} goes in. Correct the yield or an amount, or leave the yield"
        " empty."
    ),
    "yield_tiny": marked(
        "It makes {made:amount} of {inputs:amount}: more than 99% would be lost. Correct the yield or an amount, or"
        " leave the yield empty."
    ),
    "yield_and_loss": marked(
        "A loss of {loss:share} does not go with a yield of {made:amount}. Correct one of them, or leave one empty."
    ),
    "no_lines": marked("{name} has no lines. Add one, or leave the row out."),
    "loop": marked("A recipe cannot need itself: {names:chain}. Correct one of these lines."),
    "more_loops": marked("It needs itself by way of other recipes. Correct the rows above first."),
    "no_name": marked("The row has no name. Enter one."),
    "pack_and_price": marked("A pack needs a price, and a price a pack. Enter both, or neither."),
    "twice": marked("{name}, {size} is in row {row} already. Keep one of them."),
    "row_twice": marked("It is in row {row} already. Keep one of them."),
    "later": marked("{name}, {size} has a price from {day:day_alone} already. Correct it on the ingredient's page."),
    "part_of_what": marked("{name} is a part, and its ingredient is in no row. Add the ingredient first."),
    "part_differs": marked("{name} is another part than the kitchen has. Change parts on the ingredient's page."),
    "counted_differs": marked("{name} is counted or weighed as its page says. Change that on its page."),
    "too_many_suppliers": marked("The file names more than {most} suppliers. Split it into several files."),
    "yes_or_no": marked("Enter yes or no."),
    "no_category": marked("A new product needs a category. Enter one, such as Cakes."),
    "no_tax": marked("Enter one of your tax categories: {names:listed}."),
    "no_taxes": marked("There is no tax category yet. Add one under Taxes first."),
    "goes_in_unknown": marked("“{name}” is none of your recipes or ingredients. Import it first, or correct the name."),
    "goes_in_weighed": marked("“{text}” of {name} is not a weight. Enter what goes into one unit, such as 180 g."),
    "goes_in_counted": marked("{name} is counted. Enter how many go with one unit, such as 1 each."),
    "not_an_email": marked("“{text}” is not an e-mail address. Correct it, or leave it empty."),
    "not_a_country": marked("“{text}” is not a country code. Enter two letters, such as US."),
    "not_a_type": marked("“{text}” is not a type of customer. Enter private, event planner, venue or business."),
    # What becomes of a record.
    "nothing_in_it": marked("no recipe and no packaging: its cost is not known until you add them"),
    "lines": marked("{lines:measured}"),
    "lines_added": marked("added: {names:counted}"),
    "lines_removed": marked("removed: {names:counted}"),
    "amounts": marked("other amount: {names:counted}"),
    "order": marked("lines in another order"),
    "steps": marked("steps: {n}"),
    "yield_used": marked("loss worked out: makes {made:amount} of {inputs:amount}"),
    "yield_noted": marked("yield “{text}” is saved as a note only: it is not a weight"),
    "free_lost": marked(
        "its name was {name}: allergens that were answered “free” under that name become “not checked”"
    ),
    "free_lost_bought": marked(
        "from a new supplier, {name}: allergens that were answered “free” become “not checked” until its label is read"
    ),
    "free_lost_note": marked(
        "its note names {codes:allergens}: what was answered “free” there becomes “not checked” until it is mended"
    ),
    "claim_taken_back": marked("no longer counts as safe at room temperature, until you confirm it again"),
    "column_loss": marked("loss"),
    "column_batch_limit": marked("maximum batch"),
    "column_batch_min": marked("minimum batch"),
    "column_note": marked("note"),
    "column": marked("{column:column}"),
    "column_changes": marked("{column:column}: “{after}” instead of “{before}”"),
    "column_new": marked("{column:column}: “{after}”"),
    "packs": marked("new prices: {sizes:priced}"),
    "parts": marked("parts: {names:counted}"),
    "open": marked("waits for {rows:rows}"),
    "waits_for": marked("waits for {names:counted}"),
    # What undoing leaves.
    "recipe_changed": marked("{name} stays as it is: it was changed since."),
    "recipe_used": marked("{name} stays: it is used by {users:counted}."),
    "recipe_lacks": marked("{name} stays as it is: an ingredient or recipe it had before was deleted since."),
    "record_changed": marked("{name} stays as it is: it was changed since."),
    "record_used": marked("{name} stays: it is used since."),
}

#: Problems whose sentences do not say which column they are about.
COLUMN_UNSAID: Final = frozenset(
    {
        "not_whole", "not_a_number", "not_above_zero", "not_a_percentage", "not_a_share", "too_long", "two_values",
        "yes_or_no", "negative", "too_dear",
    }
)  # fmt: skip

#: Problems that are solved for all rows at once: on the ingredient's page, or by one answer.
ONE_FOR_ALL: Final = frozenset(
    {"no_density", "no_piece_weight", "new_no_density", "new_no_piece_weight", "no_category"}
)

#: Code of a question -> its words, and the answers it has.
QUESTIONS: Final = {
    "unknown": (
        marked("“{item}” is not one of your ingredients or recipes."),
        {"add": marked("Add it as a new ingredient")},
    ),
    "likely": (
        marked("Is “{item}” your {name}?"),
        {"same": marked("Yes, it is {name}"), "add": marked("No, add it as a new ingredient")},
    ),
    "erased": (
        marked("“{item}” is the name of a customer whose data was erased. Is this somebody else?"),
        {"add": marked("Yes: add as a new customer"), "leave": marked("No: leave this row out")},
    ),
    "title": (
        marked("“{item}” stands alone in its row. Is it a title or an ingredient?"),
        {"leave": marked("A title: leave it out"), "add": marked("An ingredient without a price: add it")},
    ),
    "oz": (
        marked("Are ounces of {item} a weight or a volume?"),
        {"weight": marked("By weight (oz)"), "volume": marked("By volume (fl oz)")},
    ),
    "bare": (
        marked("{item} has an amount without a unit. What is counted or measured?"),
        {
            "each": marked("Pieces"),
            "g": marked("Grams"),
            "kg": marked("Kilograms"),
            "oz": marked("Ounces by weight"),
            "lb": marked("Pounds"),
            "ml": marked("Milliliters"),
            "cup": marked("Cups"),
        },
    ),
    # Its answer is entered.
    "file_category": (marked("These new products have no category. Which one do all of them have?"), {}),
    "same": (
        marked("Is “{item}” your {name}, who is there already?"),
        {
            "same": marked("Yes: change what differs"),
            "add": marked("No: add another one"),
            "leave": marked("Leave this row out"),
        },
    ),
}
#: Whether a record that is there already is replaced by what the file says.
DECISIONS: Final = {
    "replace": marked("Replace what differs"),
    "leave": marked("Leave it as it is"),
}
CHANGES: Final = {
    "asked": marked("there already: choose"),
    "change": marked("replaced"),
    "left": marked("left as it is"),
    "new": marked("new"),
    "same": marked("unchanged"),
    "waits": marked("waits"),
}
