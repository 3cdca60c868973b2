"""The table of food-safety profiles: what each prints, where, and how it was read.

No entry stands on memory. `seen` says how a text was read; some whole texts were unofficial copies. Where a country
leaves a matter to its parts, each part has an entry. What was one entry once and is divided now stays, for kitchens
that chose it: with the strictest limits of its parts, until its owner chooses one of them.
"""

from __future__ import annotations

from costing.chilling.profiles import AMBIENT, COLD_C, COOKED, HOT_C, LUKEWARM_C, Guidance, Leg, Profile, TimeOutClause
from costing.contract.marks import marked

_US_OUT = (
    TimeOutClause(
        240,
        None,
        marked(
            "US Food Code 3-501.19(B), as enacted in 16 Del. Admin. Code 3-501.19: 41 °F or colder at first, marked, "
            "by written procedures"
        ),
    ),
    TimeOutClause(
        360,
        LUKEWARM_C,
        marked(
            "US Food Code 3-501.19(C), as enacted in 16 Del. Admin. Code 3-501.19 and Minn. R. 4626.0408: 41 °F or "
            "colder at first, watched, marked, by written procedures"
        ),
        seen="excerpt",
    ),
)
_US_REMARK = marked(
    "States and counties adopt editions of their own: Washington’s text of 2009 and Indiana’s (410 IAC 7-24-193) have "
    "the 4 hours only, and Indiana’s authority approves the written procedures before they are used. Ask yours."
)

_AU_OUT = TimeOutClause(
    240,
    None,
    marked(
        "FSANZ page on the 2-hour/4-hour rule, an alternative method under Standard 3.2.2 clause 25: all times between "
        "5 and 60 °C added up, preparation and transport too"
    ),
    kind="accepted",
    under=True,
    back_minutes=120,
)

_NI_OUT = TimeOutClause(
    240,
    None,
    marked("NISR 2006/3 Schedule 4 paragraph 5: for service or on display, once only"),
    kind="defence",
    under=True,
)
_WALES_OUT = TimeOutClause(
    240,
    None,
    marked(
        "WSI 2006/31 Schedule 4, said to read like NISR 2006/3 Schedule 4 paragraph 5: for service or on display, once "
        "only"
    ),
    kind="defence",
    under=True,
    seen="secondary",
)

_EU_GUIDANCE = Guidance(
    120,
    marked("63 to 10 °C within 2 hours, as France asks of its canteens"),
    marked("arrêté of 21 December 2009, Annex IV"),
)
_UK_GUIDANCE = Guidance(
    90, marked("70 to 3 °C within 90 minutes"), marked("UK cook-chill guideline, for a layer of 50 mm, as quoted")
)
_PRACTICE = Guidance(120, marked("cold within 2 hours"), marked("common practice, no source"))

_UNITED_STATES = (
    Profile(
        COOKED,
        marked("United States, cooked food: 135 to 70 °F within 2 hours, to 41 °F within 6 hours in all"),
        (Leg(HOT_C, LUKEWARM_C, 120), Leg(HOT_C, COLD_C, 360)),
        COLD_C,
        marked("US Food Code 3-501.14(A), as enacted in 16 Del. Admin. Code 3-501.14"),
        kind="adopted",
        times_out=_US_OUT,
        remark=_US_REMARK,
    ),
    Profile(
        AMBIENT,
        marked("United States, made from ingredients at room temperature: to 41 °F within 4 hours"),
        (Leg(None, COLD_C, 240),),
        COLD_C,
        marked("US Food Code 3-501.14(B), as enacted in 16 Del. Admin. Code 3-501.14"),
        kind="adopted",
        times_out=_US_OUT,
        remark=_US_REMARK,
    ),
)

_AUSTRALIA_AND_NEW_ZEALAND = (
    Profile(
        "au",
        marked("Australia: 60 to 21 °C within 2 hours, then to 5 °C within a further 4 hours"),
        (Leg(60.0, 21.0, 120), Leg(21.0, 5.0, 240)),
        5.0,
        marked(
            "FSANZ Standard 3.2.2, clause 7(3) as quoted by Access Canberra, cold food by council pages; another "
            "process may be used when it is shown to be safe"
        ),
        seen="excerpt",
        times_out=(_AU_OUT,),
        remark=marked(
            "A later version of FSANZ’s page on the 2-hour/4-hour rule says to discard after more than 4 hours."
        ),
    ),
    Profile(
        "nz",
        marked(
            "New Zealand, template food control plan: 60 to 21 °C, or to the room’s temperature if that is colder, in "
            "under 2 hours, then to 5 °C in under 4 hours more"
        ),
        (Leg(60.0, 21.0, 120), Leg(21.0, 5.0, 240)),
        5.0,
        marked(
            "MPI template food control plan S39-00002, card on cooling freshly cooked food, from a copy on a third "
            "party’s page"
        ),
        kind="template",
        seen="secondary",
        remark=marked(
            "No time for display out of the cold was found. Australia’s standards of food safety are not in force."
        ),
        or_room_c=21.0,
    ),
)

_CANADA = (
    Profile(
        "ca-nb",
        marked("Canada, New Brunswick: 60 to 20 °C within 2 hours, to 4 °C within 6 hours in all"),
        (Leg(60.0, 20.0, 120), Leg(60.0, 4.0, 360)),
        4.0,
        marked("N.B. Reg. 2009-138 section 27(1), version of 26 August 2020"),
        remark=marked("No time out of the cold stands in section 27."),
    ),
    Profile(
        "ca-qc",
        marked("Canada, Quebec: cooled without delay, held at 4 °C or colder"),
        (),
        4.0,
        marked("Regulation P-29, r. 1, section 1.4.1"),
        remark=marked("The section states no cooling times and no time out of the cold."),
        guidance=_PRACTICE,
    ),
    Profile(
        "ca",
        marked("Canada, model code of 2016: 60 to 20 °C within 2 hours, then to 4 °C within 4 hours"),
        (Leg(60.0, 20.0, 120), Leg(20.0, 4.0, 240)),
        4.0,
        marked(
            "Food Retail and Food Services Code of 24 February 2016, from study pages and a health unit’s page; the "
            "clause itself was not seen"
        ),
        kind="model",
        seen="secondary",
        remark=marked(
            "Provinces make the law. An Ontario health unit writes of at most 2 hours between 4 and 60 °C (O. Reg. "
            "493/17 section 27, not seen)."
        ),
        divided_into=("ca-nb", "ca-qc"),
    ),
)

_EUROPEAN_UNION = (
    Profile(
        "eu",
        marked("European Union: the cold chain is not interrupted; no temperature and no times stated"),
        (),
        None,
        marked(
            "Regulation (EC) 852/2004, Annex II, chapter IX, point 5, from a copy; point 6, on cooling, was not seen"
        ),
        seen="excerpt",
        remark=marked(
            "Limited periods out of the cold are allowed for handling, transport, display and service if there is no "
            "risk. Member states may state figures: in France canteens (arrêté of 21 December 2009, Annex IV, read in "
            "full) cool from 63 to 10 °C within 2 hours, hold at 0 to 3 °C, and serve cold food within 2 hours of "
            "leaving that, at 10 °C or colder. Ask your authority, and enter its limit of time out of the cold."
        ),
        guidance=_EU_GUIDANCE,
    ),
)

_DEFENCE_REMARK = marked(
    "The defense names food for service or on display, and its transfer to or from a vehicle. The drive itself is not "
    "named: keep it at 8 °C or colder on the way."
)

_UNITED_KINGDOM = (
    Profile(
        "uk-en",
        marked("England: cold food at 8 °C or colder"),
        (),
        8.0,
        marked("SI 2013/2996 Schedule 4 paragraph 2, as made"),
        remark=marked(
            "Paragraphs 3 to 7 were not read, so no time on display is taken from them; in Northern Ireland’s text "
            "it stands there. Ask your authority, and enter its limit."
        ),
        guidance=_UK_GUIDANCE,
    ),
    Profile(
        "uk-wa",
        marked("Wales: cold food at 8 °C or colder"),
        (),
        8.0,
        marked("WSI 2006/31 Schedule 4 paragraphs 1 to 3"),
        seen="excerpt",
        times_out=(_WALES_OUT,),
        remark=_DEFENCE_REMARK,
        guidance=_UK_GUIDANCE,
    ),
    Profile(
        "uk-ni",
        marked("Northern Ireland: cold food at 8 °C or colder"),
        (),
        8.0,
        marked("NISR 2006/3 Schedule 4 paragraph 2, as paragraph 5 refers to it"),
        seen="excerpt",
        times_out=(_NI_OUT,),
        remark=_DEFENCE_REMARK,
        guidance=_UK_GUIDANCE,
    ),
    Profile(
        "uk-sc",
        marked(
            "Scotland: in a refrigerator, a refrigerating chamber or a cool ventilated place; no temperature stated"
        ),
        (),
        None,
        marked("SSI 2006/3 Schedule 4 paragraph 2, as made"),
        remark=marked("Food on sale, in preparation, or being cooled as quickly as possible is outside the paragraph."),
        guidance=_UK_GUIDANCE,
    ),
    Profile(
        "uk-cook-chill",
        marked("United Kingdom, cook-chill guidance: 70 to 3 °C within 90 minutes"),
        (Leg(70.0, 3.0, 90),),
        3.0,
        marked("UK cook-chill guideline, for a layer of 50 mm, as quoted"),
        kind="guidance",
        seen="secondary",
    ),
)

_DIVIDED = (
    Profile(
        "anz",
        marked(
            "Australia or New Zealand, not said which: 60 to 21 °C, or to the room’s temperature if that is colder, "
            "within 2 hours, then to 5 °C within a further 4 hours"
        ),
        (Leg(60.0, 21.0, 120), Leg(21.0, 5.0, 240)),
        5.0,
        marked(
            "The stricter limits of FSANZ Standard 3.2.2, which is in force in Australia only, and of New Zealand’s "
            "template food control plan"
        ),
        seen="secondary",
        times_out=(_AU_OUT,),
        or_room_c=21.0,
        divided_into=("au", "nz"),
    ),
    Profile(
        "uk",
        marked("United Kingdom, nation not said: cold food at 8 °C or colder"),
        (),
        8.0,
        marked(
            "The stricter limits of SI 2013/2996 (England), WSI 2006/31 (Wales), NISR 2006/3 (Northern Ireland) and "
            "SSI 2006/3 (Scotland, which states no temperature), Schedule 4 of each"
        ),
        seen="excerpt",
        times_out=(_NI_OUT,),
        divided_into=("uk-en", "uk-wa", "uk-ni", "uk-sc"),
        guidance=_UK_GUIDANCE,
    ),
)

PROFILES: dict[str, Profile] = {
    profile.code: profile
    for profile in (
        *_UNITED_STATES,
        *_AUSTRALIA_AND_NEW_ZEALAND,
        *_CANADA,
        *_EUROPEAN_UNION,
        *_UNITED_KINGDOM,
        *_DIVIDED,
    )
}
"""Every profile by its code."""
