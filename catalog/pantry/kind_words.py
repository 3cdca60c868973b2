"""Foods that are made of an allergen and do not name it, by kind: pignoli, kamut, panko, Topfen, albumen, isinglass.

In English, German as it is written in Germany and Austria, French, Italian, Spanish and Dutch; generic words alone, no
brand. Whoever reads one is asked: what a food is usually made of is common practice, no source, and no list is
complete. A word counts inside a longer one ("Topfennockerl") unless it is bounded. All are without accents, ß is ss.
"""

import re
from typing import Final

from catalog.pantry.allergens import covered
from catalog.pantry.flour_words import flour_of_wheat
from catalog.pantry.name_words import allergens_named, folded

#: Kinds of bread, pasta and pastry: which cereal is in them nobody can tell.
_OF_CEREALS: Final = (
    r"\bbreads?\b(?!fruit)|breadcrumb|\bbrot\b|brotchen|broetchen|brosel|broesel|\bsemmel|paniermehl|\bpanko\b"
    r"|pangrattat|pan\s+(?:rallado|grattat)|chapelure|pain\s+d[e']|paneermeel|broodkruim|beschuit|zwieback|\brusks?\b"
    r"|crackers?\b|crostin|crouton|pretzel|brezel|brioche|croissant|baguette|ciabatta|focaccia|\bpita\b|\bnaan\b"
    r"|\bmatz[aeo]|\bchallah|\bbagel|\bpasta\b(?!\s+d[eio]\b|\s+frolla\b)|noodle|nudeln?\b|nouilles?\b|fideos?\b"
    r"|spaghett|maccheron|macaroni|lasagn|vermicell|\budon\b|\bramen\b|kataif|kadayif|knafeh|\bfil+o\b|phyllo|\byufka"
    r"|strudel|puff[\s-]?pastry|short[\s-]?crust|blatterteig|blaetterteig|murbteig|muerbteig"
    r"|\bgerm(?:teig|knodel|knoedel)|feuillete|feuilletine|\bpate\s+(?:brisee|sablee|sucree|feuilletee|a\s+choux)"
    r"|\bsables?\b|pasta\s+(?:sfoglia|frolla)|hojaldre|bladerdeeg|choux|profiterole|eclair|wafers?\b|wafel|waffle"
    r"|waffel|gaufre|gaufrette|\bcialda|\bcialde|barquillo|stroopwafel|oblaten?\b|biscuit|biskuit|biskott|biscott"
    r"|bizcocho|galletas?\b|cookies?\b|\bkekse?\b|koekjes?\b|speculo+s|speculaas|spekulatius|lebkuchen"
    r"|pain\s+d'epices|gingerbread|pfeffernuss|amerikaner\b|ladyfinger|lady\s+finger|sponge\s+finger|savoiard"
    r"|boudoirs?\b|loffelbiskuit|loeffelbiskuit|langue\s+de\s+chat|cantucc|graham|digestive|shortbread|\bgenoise"
    r"|pan\s+de\s+espana|pandispagna|panettone|pandoro|\bcornets?\b|ice[\s-]cream\s+cones?\b|dumpling"
    r"|knodel|knoedel|nockerl|gnocch|\bseitan\b|triticale|cereales\b|\bcrumble|streusel|croquant(?:e|ine)?\b"
)
#: Mixes for baking, whatever is baked of them.
_MIXES: Final = (
    r"\b(?:cake|brownie|muffin|pancake|waffle|cookie|baking|scone|bread)\s+mix\b"
    r"|backmischung|\bpreparation\s+pour\s+gateaux?\b"
)
#: Fruit of which what is dried is often sulphured. Common practice, no source.
_FRUIT: Final = (
    r"(?:fruit|pear|(?:pine)?apple|apricot|peach|nectarine|mango|papaya|fig|date|plum|prune|\w*berr(?:y|ies)|cherr(?:y|ies)"
    r"|raisin|sultana|banana|currant|kiwi|quince|coconut|orange|lemon|citrus|ginger)(?:e?s)?\b"
)
_DRIED_FRUIT: Final = (
    rf"\bdried\s+(?:\w+\s+){{0,2}}{_FRUIT}|\b{_FRUIT},?\s+(?:\w+,?\s+){{0,2}}dried\b"
    r"|\bdorr(?:obst|pflaume|birne|apri)|\bfruits?\s+secs?\b"
)
#: "Grain" names a cereal, but where it says how coarse something is: long-grain rice, whole-grain mustard.
_GRAIN: Final = (
    r"(?<!long[\s-])(?<!medium[\s-])(?<!short[\s-])(?<!round[\s-])(?<!coarse[\s-])(?<!fine[\s-])(?<!large[\s-])(?<!en\s)"
    r"\b(?:multi[\s-]?)?grains?\b(?!\s+(?:of\s+paradise|mustard|rice|sugar|salt|alcohol|free)|[\s-]free)|getreide"
    r"|\bcereal\s+(?:coffee|drink|beverage)"
)
#: Allergen or group -> words of foods made of it.
KINDS: Final = {
    "peanuts": r"\bchikki\b|\bpasoca|\bpacoca|\bsatay\b|\bsat[ae]h?\s*sau[cs]|\bgoobers?\b|\bkacang\b|beer\s+nuts",
    "hazelnuts": (
        r"nuss[\s-]?nougat|nocciolat|\bnoisettine|chocolate\s+hazelnut|\bpaste?\s+de\s+noisette|linzer|\bbacio\b"
        r"|\bbaci\b"
    ),
    "almonds": (
        r"\bsoumada|\bromesco|massepain|mazapan|marzapan|marsepein|persipan|financier|\bmacar[o]+ns?\b|makronen?\b|amarettin|\bdragees?\b"
        r"|calissons?\b|\borgeat\b|\borzata\b|dacquoise|joconde|bakewell|ricciarell|polvoron|tarta\s+de\s+santiago"
        r"|sbrisolona|bethmannchen|bienenstich|stollen\b|jordan\s+almond|florentin"
    ),
    "walnuts": (
        r"baumnu(?:ss|ess)|\bnoce\b(?!\s+moscata)|\bcerneaux|\bokernoot|noix\s+de\s+grenoble|\bnocino\b|potica"
        r"|povitica"
    ),
    "cashews": r"\bcajou|kaschu|maranon\b|acaju",
    "pistachios": r"\bfestuk|\bfistik|bronte\b",
    "pine-nuts": (
        r"pine[\s-]?kernel|cedar[\s-]?nut|zirbelnu|piniennu|pijnboompit|pinon(?:es)?\b|pinhao|pinhoes|\bpesto\b"
    ),
    "tree-nuts": (
        r"krokant|croccant|croquant\b|(?<!peanut\s)(?<!sesame\s)(?<!seed\s)brittle|turron|torron|nougatine|guirlache"
        r"|crocante|baklava|baklawa|dukkah|duqqa|frutta\s+secca|\bnoten(?:pasta|mix)|\btrail\s+mix|studentenfutter"
        r"|notenmelange|gevulde\s+koek|granola|\bmuesli\b|musli\b|praslin|pralino"
    ),
    "sesame": r"\bgoma\b|\bkurogoma|\btil\s+(?:seeds?|oil)|\bgingelly|\bhummus|\bhoumous|za'?atar|\bsimit\b"
    r"|benne\s+seed|dukkah|furikake|\bbenniseed",
    "soybeans": (
        r"hydroly[sz]ed\s+(?:vegetable\s+|plant\s+)?protein|\bhvp\b|"
        rf"margarin|\bshortening|\b(?:vegetable|buttery|baking)\s+spread|\b(?:plant|vegan)\s+butter|{_MIXES}"
        r"|\b(?:baking|cooking|release|non-?\s?stick)\s+spray|\b(?:vegetable|plant)\s+protein|pflanzeneiwei(?:ss|sz)|"
        r"tempeh|tamari(?!n)|shoyu|\bkinako|\baburaa?ge|\bdoenjang|\bgochujang|\bponzu\b|\bkecap\b|\btvp\b|\bdouhua\b|\bnama\s?age|"
        r"\bnatto\b|\byuba\b|\bokara\b|teriyaki|hoisin|worcester|(?<!sunflower\s)\blecithin"
        r"|lecitin|lezithin|lecithine|textured\s+vegetable|pate\s+a\s+tartiner|chocopasta|chocolate\s+spread"
        r"|hazelnut\s+spread"
    ),
    "milk": (
        rf"margarin|(?<!vegetable\s)\bshortening|\b(?:vegetable|buttery|baking)\s+spread|{_MIXES}|posset|syllabub|\bjunket\b|blancmange"
        r"|blanc-manger|\brice\s+pudding|milchreis|grie(?:ss|sz)brei|bavarois|semifreddo|\bgelato|\bsherbet|\bfrosting|bechamel|tiramisu"
        r"|\b(?:lemon|lime|orange|passion\s?fruit|fruit)\s+curd\b|\bcaramels\b|\bcaramel\s+(?:cand\w*|bits?|chips?|fillings?|toppings?|spread|pieces?|cups?|bars?)\b|"
        r"\b(?:vanilla|chocolate|caramel|banana|instant)\s+puddings?\b|\bpudding\s+(?:mix|powder|cups?)\b|vanille-?pudding|"
        r"\bicings?\b(?!\s+(?:sugar|sheet|tip|bag|nozzle))|\blemon\s+bars?\b|"
        r"topfen|schlagober|\bkho(?:y)?a\b|\bmawa\b|\bmalai\b|\brabri\b|\bkulfi\b|\bshrikhand|\bchh?ena\b|\brasgulla|\brasmalai"
        r"|\bgjetost|\bbrunost|\bmysost|\btvorog|\btwarog|\bkaymak|\bqishta|\bashta\b|\bkashk\b|\bsmor\b|\bmleko\b|\bsmietan|"
        r"\bobers\b|\bschlag\b|\bsahne|schlagsahne|\brahm(?!en)|sauerrahm|sussrahm|schmand"
        r"|schmetten|\bmolken?|buttermilch|karnemelk|slagroom|kookroom|roomkaas|roomboter|zure\s+room|\bkwark\b"
        r"|(?<!pinda)kaas\b|\bvla\b|panna\s?cotta|\bpanna\b|\bnata\b|chantilly|creme\s+fraiche|fromage\s+blanc"
        r"|petit[\s-]lait|lactoserum|babeurre|\bcrema\b|\bburro\b|dulce\s+de\s+leche|cajeta|fior\s+di\s+latte"
        r"|stracciatella|burrata|mozzarella|parmesan|parmigian|grana\s+padano|cheddar|\bgouda\b|\bedam(?:er)?\b|\bbrie\b"
        r"|camembert|gruyere|emmental|\bfeta\b|halloumi|paneer|\bkefir|\bskyr\b|\bayran\b|labneh|\blassi\b|cuajada"
        r"|requeson|\bnatillas|custard|ganache|toffee|butterscotch|fudge|\bghi\b|lactalbumin|laktalbumin|milchpulver"
        r"|mascarpon|quark|\bvanillesauce|hazelnut\s+spread|nuss[\s-]?nougat|pate\s+a\s+tartiner|chocopasta"
        r"|chocolate\s+spread|white\s+chocolate|weisse\s+schokolade|\bsuero\b|nata\s+montada|half[\s-]and[\s-]half"
        r"|clotted|smetana|kajmak|couverture|kuverture|kuvertuere|caramel\s+sauce|salted\s+caramel"
        r"|karamell?[\s-]?(?:sauce|sosse|saus\b|creme)|sauce\s+(?:au\s+)?caramel|salsa\s+(?:al\s+)?caramell"
        r"|salsa\s+de\s+caramelo|(?:copertura|cobertura)\s+(?:di\s+cioccolato|de\s+chocolate|bianca|blanca|al\s+latte)"
    ),
    "eggs": (
        r"\be[\s-]?1105\b|\blemon\s+bars?\b|\bicings?\b(?!\s+(?:sugar|sheet|tip|bag|nozzle))|"
        r"\balbum[ie]n|ovalbumin|eiklar|eiweiss|eiwit\b|eigelb|eigeel|\bdooiers?\b|dotter(?!blum)|vollei|huhnerei"
        r"|huehnerei|\byolks?\b|meringue|baiser|merengue|meringh|zabaglione|zabaione|sabayon|aioli|advocaat|avocaat"
        r"|\balbume|tuorl|\byemas?\b|claras?\s+de|lysozym|custard|\bcurd\b|windringe|\bkaiserschmarr|schaumroll"
        r"|biskuit|loffelbiskuit|ladyfinger|savoiard|creme\s+(?:brulee|anglaise|patissiere)|crema\s+pasticcera"
        r"|marshmallow\s*(?:fluff|creme|cream|frosting|topping|spread|filling)|schaumkuss|pavlova|tiramisu|\bangel\s+food|\bmeringa"
        rf"|\bchoux|{_MIXES}|natillas|flan\b|nougat|torron|turron|mayo\b|\bfrittata|tortilla\s+de|royal\s+icing|genoise|omelett?e?s?\b"
        r"|\bomelett|\bquiches?\b|\bruhrei|\bspiegelei|\bpalatschinken|\bpfannkuchen|\bpannenkoek|\bpancakes?\b|\bcrepes?\b"
        r"|\beierspeis|\bshakshuka|\btamago|\bsouffles?\b|\bhollandaise|\bbearnaise"
    ),
    "wheat": (
        r"hydroly[sz]ed\s+(?:vegetable\s+|plant\s+)?protein|\bhvp\b|"
        rf"\blemon\s+bars?\b|{_MIXES}|\bbaking\s+spray|\bsuet\b|tiramisu|bechamel|\bbatter\b|"
        r"\bsoo?ji\b|\bsuji\b|\brava\b|\bshoyu|\bgochujang|\bfu\b|kamut|khorasan|farro\b|einkorn|\bemmer\b|freekeh|frikeh|\bbulgh?ur|boulgour|grunkern|gruenkern"
        r"|(?<!mais)(?<!reis)griess|(?<!mais)(?<!reis)griesz|semola|semoule|semolino|griesmeel|cuscus|kuskus"
        r"|panko|seitan|feuilletine|epeautre|espelta"
        r"|\bfarro|couscous|\bweckmehl|all[\s-]purpose\s+flour|plain\s+flour|bread\s+flour|cake\s+flour"
        r"|pastry\s+flour|\bmaida\b|\batta\b|auszugsmehl|backerbsen|speculo+s|speculaas|spekulatius|zwieback"
        r"|blatterteig|blaetterteig|biskuit"
    ),
    "rye": r"pumpernickel|\bzwart\s+brood",
    "barley": (
        r"\bcorn[\s-]?flakes?\b|\b(?:[ck]risp(?:ed|y|ies?)|crunchy)\s+rice\b|\brice\s+(?:[ck]risp|crunch)\w*"
        r"|\b(?:rice|corn|maize|breakfast)\s+cereals?\b|\bcereal\s+(?:rice|flakes?|balls?|crisps?)|reis[ck]risp|\briz\s+(?:souffle|croustill)|"
        r"\bmalz|malto\b|maltos?[ae]\b|malted|\bbeer\b|\bbier\b|\bbirra\b|\bbiere\b|\bcerveza|\bstout\b|\bale\b"
        r"|\bkvass|\bmugicha|\btsampa|gersten|\bperlgraupen|\bgraupen"
    ),
    "oats": r"haferflock|granola|\bmuesli\b|musli\b|flapjack|porridge|oatcake|havermout|\bhaver",
    "gluten": rf"{_OF_CEREALS}|{_GRAIN}",
    "fish": (
        r"isinglass|hausenblase|ichtyocolle|colla\s+di\s+pesce|cola\s+de\s+pescado|vislijm|visgelatine|vis\b|bottarga"
        r"|\bnam\s+pla|\bgarum\b|\bcolatura|\bkatsuobushi|\bniboshi|\bkamaboko|\bmentaiko|\bikura\b|caviar|kaviar|anchoas?\b|boqueron|\bacciug|alici\b|sardel|sardin|thunfisch|\bthon\b|tonno\b|\batun\b"
        r"|\blachs|saumon|salmone|\bzalm\b|\bcod\b|kabeljau|cabillaud|merluzzo|bacala|merluza|\bworcester|surimi"
        r"|\bdashi\b|bonito|\bhering|\bherring|\bharing\b|\btrout|forelle|truite|\btrota\b|makrele|mackerel|maquereau"
        r"|sgombro|bloater|kipper"
    ),
    "crustaceans": (
        r"\bxo\s+sauce|\bkrabben?\b|hummer\b|\bhomard|aragost|\blangost|langoust|scamp[io]\b|gamber[io]|camaron|crayfish|crawfish"
        r"|\bkrill\b|\bkrebs|\bbelacan\b|\bterasi\b|\bbagoong|\bsergestid|\blangoustine|\byabb(?:y|ies)\b|kreeft|garnal|crostace|\bgranchi|cangrejo|\bcrabes?\b"
    ),
    "molluscs": (
        r"muschel|\bmoules?\b|cozze\b|vongol|mejillon|almeja|calamar|tintenfisch|\bsepia\b|seppia|cuttlefish"
        r"|\bsnails?\b|escargot|\bauster|\boesters?\b|\bhuitre|ostric|ostra\b|mossel|inktvis|\bpulpo|\bpolpo"
        r"|weinbergschnecke"
    ),
    "celery": r"celeriac|\bceleri|sedano|selderi|bleekselder|\bapio",
    "mustard": r"\bdijon\b|mostarda|piccalilli|savora\b",
    "sulphites": (
        rf"{_DRIED_FRUIT}|"
        r"(?<!unge)schwefel(?!saure)|gezwavel|zwaveldioxide|solfit|solforos|anidride\s+solf|sulfureux|\bsoufre\b"
        r"|azufre|anhidrido\s+sulf|(?<!un)sul(?:ph|f)ured|metabisul|bisul(?:ph|f)|\be\s?22[0-8]\b|\bwein\b|weisswein"
        r"|rotwein|\broseweine?\b|\bvins?\s+(?:blanc|rouge|rose|cuit)|\bvino\b|\bvin\s+santo|\bwijn\b|\bwines?\b"
        r"|prosecco|\bsekt\b|champagn|spumante|\bcava\b|marsala|portwein|\bport\s+wine|\bporto\b|sherry|\bjerez\b"
        r"|vermouth|wermut|vermut|\bcider\b|\bcidre\b|\bsidra\b|apfelwein|gluhwein|gluehwein|glace\s+cherr|maraschino"
    ),
    "lupin": r"altramu|lupini?\b|\btremoco",
}
_READ: Final = {code: re.compile(words) for code, words in KINDS.items()}
#: Words by which a plant stands for a kind: "oat custard" is asked all the same where it is not said like this.
_OF_PLANTS: Final = re.compile(r"\b(?:vegan\w*|plant[\s-]based|pflanzlich\w*|veganistisch\w*|vegetale|vegetal)\b")
_FROM_ANIMALS: Final = frozenset({"milk", "eggs", "fish", "crustaceans", "molluscs"})


def kinds_named(text: str) -> tuple[str, ...]:
    """Return the allergens that foods a text names are usually made of, in the order of the list."""
    plain = folded(text)
    spared = _FROM_ANIMALS if _OF_PLANTS.search(plain) else frozenset[str]()
    of_wheat = flour_of_wheat(plain)
    return tuple(
        code
        for code, words in _READ.items()
        if code not in spared and (words.search(plain) or (code == "wheat" and of_wheat))
    )


def foods_named(text: str) -> tuple[str, ...]:
    """Return the allergens that a name has in it, by its words or by kinds of food; not a group beside its own."""
    found = dict.fromkeys([*allergens_named(text), *kinds_named(text)])
    return tuple(code for code in found if not any(covered(other) < covered(code) for other in found))


#: Foods that are made with an allergen by one maker and without it by the next. Common practice, no source.
_MAYBE: Final = re.compile(
    r"\bdragees?\b|nougat\w*|torron\w*|turron\w*|\w*pralin\w*|\bmacar[o]+ns?\b|makronen?\b|amarett\w*|financiers?|krokant|brittle"
    r"|\bpesto\b|granola|\bm[u]e?sli\b|stollen\b|trail\s+mix|dukkah|duqqa|shortening|margarin\w*|worcester\w*|marshmallow\w*"
    r"|\bicings?\b|\bfrostings?\b|\bcorn[\s-]?flakes?\b|\bcouverture|\bkuverture|toffees?|fudge|\bbeer\b|\bsprinkles\b"
)


def maybe_made_with(text: str) -> tuple[str, ...]:
    """Return those of the allergens in a name that it may be made with, or without: almonds of dragee pearls."""
    plain = folded(text)
    named = foods_named(_MAYBE.sub(" ", plain)) if _MAYBE.search(plain) else foods_named(plain)
    return tuple(code for code in foods_named(text) if code not in named)
