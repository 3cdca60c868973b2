"""The contract's computation, written a second time straight from its text: slow, plain fractions, no shared code.

It reads JSON documents and gives a dictionary shaped like the Estimate's document with fractions for numbers.
"""

from __future__ import annotations

from datetime import date

from tests.contract.oracle_numbers import MINOR, F, Json, base_amount, ceil, cheapest, half_up, standing


def oracle(book: Json, brief: Json) -> Json:  # noqa: C901 - it follows the text from top to bottom, on purpose
    cup = book["kitchen"].get("cup", "us")
    kitchen = book["kitchen"]
    ingredients = {i["code"]: i for i in book.get("ingredients", [])}
    recipes = {r["code"]: r for r in book.get("recipes", [])}
    products = {p["code"]: p for p in book.get("products", [])}
    lines = {line["product"]: line for line in brief["lines"]}
    order = sorted(lines)

    # 1. Recipe output.
    def masses(r: str) -> list[F]:
        return [
            base_amount(x["amount"], {}, None, cup)
            if "recipe" in x
            else base_amount(x["amount"], ingredients[x["ingredient"]], x.get("part"), cup)
            for x in recipes[r]["lines"]
        ]

    def out(r: str) -> F:
        return sum(masses(r), F(0)) * (1 - F(recipes[r].get("loss", "0")))

    # 2. Demand, users before what they use.
    made = {p: ceil(lines[p]["units"] * (1 + F(products[p].get("spare", "0")))) for p in order}
    d: dict[tuple[str, str], F] = {}
    for p in order:
        for fill in products[p].get("fill", []):
            key = (p, fill["recipe"])
            d[key] = d.get(key, F(0)) + made[p] * base_amount(fill["amount"], {}, None, cup)
    depth: dict[str, int] = {}

    def level(r: str) -> int:
        if r not in depth:
            users = [u for u in recipes if any(x.get("recipe") == r for x in recipes[u]["lines"])]
            depth[r] = 1 + max((level(u) for u in users), default=0)
        return depth[r]

    big_d: dict[str, F] = {}
    big_m: dict[str, F] = {}
    factor: dict[str, F] = {}
    for r in sorted(recipes, key=level):
        total = sum((d.get((p, r), F(0)) for p in order), F(0))
        if not total:
            continue
        least = recipes[r].get("batch_min")
        big_d[r] = total
        big_m[r] = max(total, base_amount(least, {}, None, cup)) if least else total
        factor[r] = big_m[r] / total
        for x, mass in zip(recipes[r]["lines"], masses(r), strict=True):
            if "recipe" in x:
                for p in order:
                    if (p, r) in d:
                        key = (p, x["recipe"])
                        d[key] = d.get(key, F(0)) + d[p, r] * factor[r] * mass / out(r)
    batches = {}
    for r in big_m:
        limit = recipes[r].get("batch_limit")
        batches[r] = ceil(big_m[r] / base_amount(limit, {}, None, cup)) if limit else 1

    # 3. Ready to use, 4. as purchased.
    ready: dict[str, F] = {}
    food: dict[tuple[str, str, str | None], F] = {}
    pack: dict[tuple[str, str], F] = {}
    for r in big_m:
        for x, mass in zip(recipes[r]["lines"], masses(r), strict=True):
            if "ingredient" not in x:
                continue
            i, part = x["ingredient"], x.get("part")
            share = F(ingredients[i].get("yield", "1"))
            if part is not None:
                share = F(next(q for q in ingredients[i]["parts"] if q["code"] == part)["share"])
            for p in order:
                if (p, r) in d:
                    needs = d[p, r] * factor[r] * mass / out(r)
                    ready[i] = ready.get(i, F(0)) + needs
                    food[p, i, part] = food.get((p, i, part), F(0)) + needs / share
    for p in order:
        for x in products[p].get("packaging", []):
            i = x["ingredient"]
            needs = lines[p]["units"] * base_amount(x["amount"], ingredients[i], None, cup)
            ready[i] = ready.get(i, F(0)) + needs
            pack[p, i] = pack.get((p, i), F(0)) + needs / F(ingredients[i].get("yield", "1"))

    def as_purchased(i: str) -> F:
        total = F(0)
        joint: dict[str, F] = {}
        for part in {None, *(x["code"] for x in ingredients[i].get("parts", []))}:
            a = sum((v for (_, j, q), v in food.items() if j == i and q == part), F(0))
            if part is None:
                total += a + sum((v for (_, j), v in pack.items() if j == i), F(0))
                continue
            group = next(x for x in ingredients[i]["parts"] if x["code"] == part).get("joint")
            if group is None:
                total += a
            else:
                joint[group] = max(joint.get(group, F(0)), a)
        total += sum(joint.values(), F(0))
        return total if ingredients[i].get("base") == "each" else total * (1 + F(kitchen.get("waste", "0")))

    # 5. Ingredient cost.
    rows = []
    cost: dict[str, F] = {}
    for i in sorted(ready):
        need = as_purchased(i)
        packs = standing(ingredients[i], brief["date"])
        sizes = [base_amount(x["size"], ingredients[i], None, cup) for x in packs]
        row: Json = {"ingredient": i, "base": ingredients[i].get("base", "g"), "ready": ready[i], "as_purchased": need}
        if ingredients[i].get("charge", "used") == "packs":
            counts = cheapest(sizes, [F(x["price"]) for x in packs], need)
            cost[i] = sum((n * F(x["price"]) for n, x in zip(counts, packs, strict=True)), F(0))
            bought = sum((n * s for n, s in zip(counts, sizes, strict=True)), F(0))
            row["packs"] = sorted(
                ({"size": x["size"], "count": n} for n, x in zip(counts, packs, strict=True) if n),
                key=lambda entry: str(entry["size"]),
            )
            row["leftover"] = bought - need
            row["leftover_value"] = (bought - need) * cost[i] / bought
        else:
            preferred = [k for k, x in enumerate(packs) if x.get("preferred")] or list(range(len(packs)))
            cost[i] = need * min(F(packs[k]["price"]) / sizes[k] for k in preferred)
        row["cost"] = cost[i]
        rows.append(row)

    weight = {i: F(0) for i in ready}
    for (_, i, _), v in food.items():
        weight[i] += v
    for (_, i), v in pack.items():
        weight[i] += v

    # 6. Labor, 7. overhead.
    def pay(role: str) -> F:
        return F(book["roles"][role]["hourly"]) * (1 + F(book["roles"][role].get("on_cost", "0"))) / 60

    overhead = book.get("overhead", {})
    recipe_minutes, recipe_pay = {}, {}
    for r in big_m:
        recipe_minutes[r] = recipe_pay[r] = F(0)
        for x in recipes[r].get("labour", []):
            m = batches[r] * F(x.get("per_batch", "0")) + big_m[r] / 1000 * F(x.get("per_kg", "0"))
            recipe_minutes[r] += m
            recipe_pay[r] += m * pay(x["role"])
    out_lines: dict[str, Json] = {}
    for p in order:
        product = products[p]
        loads = ceil(F(made[p], product["load"])) if "load" in product else 1
        minutes = labor = F(0)
        for x in product.get("labour", []):
            m = loads * F(x.get("per_load", "0")) + made[p] * F(x.get("per_unit", "0"))
            minutes += m
            labor += m * pay(x["role"])
        for r in big_m:
            share = d.get((p, r), F(0)) / big_d[r]
            minutes += share * recipe_minutes[r]
            labor += share * recipe_pay[r]
        station = F(0)
        for x in product.get("station_time", []):
            station += loads * F(x["minutes_per_load"]) / 60 * F(book["stations"][x["station"]]["hourly"])
        out_lines[p] = {
            "product": p,
            "units": lines[p]["units"],
            "made": made[p],
            "servings": lines[p]["units"] * product["servings"],
            "ingredients": sum((v / weight[i] * cost[i] for (q, i, _), v in food.items() if q == p), F(0)),
            "packaging": sum((v / weight[i] * cost[i] for (q, i), v in pack.items() if q == p), F(0)),
            "labour": labor,
            "overhead": minutes / 60 * F(overhead.get("per_labour_hour", "0")) + station,
            "labour_minutes": minutes,
            "loads": loads,
        }
    base = {p: x["ingredients"] + x["packaging"] + x["labour"] for p, x in out_lines.items()}
    if not sum(base.values(), F(0)):
        base = {p: F(x["units"]) for p, x in out_lines.items()}
    for p, x in out_lines.items():
        x["overhead"] += F(overhead.get("per_order", "0")) * base[p] / sum(base.values(), F(0))
        x["cost"] = x["ingredients"] + x["packaging"] + x["labour"] + x["overhead"]
        x["unit_cost"] = x["cost"] / x["units"]

    # 9. Price.
    supply = date.fromisoformat(brief.get("supply_date", brief["date"]))

    def rate(code: str) -> F:
        if brief.get("tax_exempt", False):
            return F(0)
        begun = [x for x in book["taxes"][code] if date.fromisoformat(x["from"]) <= supply]
        return F(max(begun, key=lambda x: str(x["from"]))["rate"])

    gross = kitchen.get("prices", "net") == "gross"

    def g(code: str) -> F:
        return 1 + rate(code) if gross else F(1)

    def matches(rule: Json, p: str) -> bool:
        return (
            rule.get("product", p) == p
            and rule.get("category", products[p]["category"]) == products[p]["category"]
            and ("customer_kind" not in rule or rule["customer_kind"] == brief.get("customer_kind"))
        )

    step = F(kitchen["price_step"])
    for p, x in out_lines.items():
        fitting = [
            (
                "customer_kind" not in rule,
                0 if "product" in rule else (1 if "category" in rule else 2),
                -rule.get("from_units", 0),
                n,
            )
            for n, rule in enumerate(book["price_rules"])
            if matches(rule, p)
            and sum(line["units"] for q, line in lines.items() if matches(rule, q)) >= rule.get("from_units", 0)
        ]
        rule = book["price_rules"][min(fitting)[3]]
        code = products[p]["tax"]
        asked = max(x["unit_cost"] / (1 - F(rule["margin"])) * g(code), F(rule.get("minimum", "0")))
        x["rule"] = rule["code"]
        x["target_price"] = ceil(asked / step) * step
        x["basis"], x["unit_price"] = "rule", x["target_price"]
        if "list_price" in products[p]:
            x["basis"], x["unit_price"] = "list", F(products[p]["list_price"])
        if "unit_price" in lines[p]:
            x["basis"], x["unit_price"] = "given", F(lines[p]["unit_price"])
        x["amount"] = x["unit_price"] * x["units"]
        x["net"] = x["amount"] / g(code)
        x["margin"] = (x["net"] - x["cost"]) / x["net"] if x["net"] else None

    # 8. Delivery cost, 10. totals.
    unit = F(1, 10 ** MINOR[book["currency"]])
    amounts: dict[str, F] = {}
    for p in order:
        code = products[p]["tax"]
        amounts[code] = amounts.get(code, F(0)) + out_lines[p]["amount"]

    def split(value: F) -> dict[str, F]:
        codes = sorted(amounts)
        total = sum(amounts.values(), F(0))
        if not total:
            return {c: value if c == codes[0] else F(0) for c in codes}
        units = abs(value) / unit
        exact = {c: units * amounts[c] / total for c in codes}
        parts = {c: int(exact[c]) for c in codes}
        for c in sorted(codes, key=lambda c: (-(exact[c] - parts[c]), c))[: int(units - sum(parts.values()))]:
            parts[c] += 1
        return {c: (1 if value >= 0 else -1) * parts[c] * unit for c in codes}

    delivery = None
    charged = dict(amounts)
    terms = brief.get("delivery")
    delivery_cost = F(0)
    if terms is not None:
        rates = book["delivery"]
        minutes = terms["crew"] * (2 * F(terms["minutes"]) + F(terms.get("setup_minutes", "0")))
        delivery_cost = minutes * pay(rates["role"]) + 2 * F(terms["km"]) * F(rates["per_km"])
        code = rates["tax"]
        if code == "goods":
            code = sorted(amounts, key=lambda c: (-amounts[c], c))[0]
        price = ceil(delivery_cost / (1 - F(rates["margin"])) * g(code) / step) * step
        delivery = {"labour_minutes": minutes, "cost": delivery_cost, "price": price}
        for c, v in (split(price) if rates["tax"] == "goods" else {code: price}).items():
            charged[c] = charged.get(c, F(0)) + v
    goods = sum(amounts.values(), F(0))
    discount = half_up(F(brief.get("discount", "0")) * goods / unit) * unit
    surcharge = half_up(F(kitchen.get("rush_rate", "0")) * goods / unit) * unit if brief.get("rush") else F(0)
    top_up = max(F(0), F(kitchen.get("order_minimum", "0")) - (goods - discount))
    adjustment = split(surcharge - discount + top_up)
    for c, v in adjustment.items():
        charged[c] += v
    extras = brief.get("extras", [])
    for x in extras:
        charged[x["tax"]] = charged.get(x["tax"], F(0)) + F(x["amount"])
    taxes = []
    for c in sorted(charged):
        s, r = charged[c], rate(c)
        tax = half_up((s * r / (1 + r) if gross else s * r) / unit) * unit
        taxes.append({"code": c, "rate": r, "taxable": s - tax if gross else s, "tax": tax})
    revenue = sum((x["taxable"] for x in taxes), F(0))
    line_cost = sum((x["cost"] for x in out_lines.values()), F(0))
    all_cost = line_cost + delivery_cost + sum((F(x["cost"]) for x in extras), F(0))
    goods_net = sum(((amounts[c] + adjustment[c]) / g(c) for c in amounts), F(0))
    goods_margin = (goods_net - line_cost) / goods_net if goods_net else None

    def allergens(p: str) -> list[str]:
        found: set[str] = set()
        waiting = [x["recipe"] for x in products[p].get("fill", [])]
        while waiting:
            for x in recipes[waiting.pop()]["lines"]:
                if "recipe" in x:
                    waiting.append(x["recipe"])
                else:
                    found.update(ingredients[x["ingredient"]].get("allergens", []))
        for x in products[p].get("packaging", []):
            found.update(ingredients[x["ingredient"]].get("allergens", []))
        return sorted(found)

    return {
        "format": "coldset-estimate/1",
        "currency": book["currency"],
        "lines": [out_lines[p] for p in order],
        "recipes": [
            {"recipe": r, "grams": big_m[r], "batches": batches[r], "labour_minutes": recipe_minutes[r]}
            for r in sorted(big_m)
        ],
        "ingredients": rows,
        "delivery": delivery,
        "totals": {
            "goods": goods,
            "surcharge": surcharge,
            "discount": discount,
            "top_up": top_up,
            "delivery": F(0) if delivery is None else delivery["price"],
            "extras": sum((F(x["amount"]) for x in extras), F(0)),
            "taxes": taxes,
            "revenue": revenue,
            "total": revenue + sum((x["tax"] for x in taxes), F(0)),
            "cost": all_cost,
            "goods_margin": goods_margin,
            "order_margin": (revenue - all_cost) / revenue if revenue else None,
            "below_floor": goods_margin is None or goods_margin < F(kitchen.get("floor_margin", "0")),
        },
        "allergens": {p: allergens(p) for p in order},
    }
