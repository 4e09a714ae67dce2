"""Invented sentences of callers, and what a person at the counter would write down from each; all by hand."""

from typing import Any

WIRES, VOLTAGE, POST, LAST = "thick_wires", "battery_voltage_V", "frame_post", "last_touched"
BODY, CASE = "round body with its own two terminals", "wires out of the engine case"
HOT, HISSING = "hot or smoking", "battery hissing or swollen"
OVER = "over 15 V (7.6 V on 6 V) at the battery"
POINTS = "points and battery coils"

Told = list[tuple[str, set[tuple[str, Any]]]]

# By hand: invented sentences, each with what a person at the counter would write down from it. These helped to write
# the phrases.
TOLD: Told = [
    (
        "two wires, no box, battery's new, goes flat at night, six coils I think, red to the frame",
        {("coils", 6), (LAST, "battery"), (WIRES, 2), ("why", "flat battery")},
    ),
    (
        "three yellow ones out of the engine case, about 12 volts at tickover between any of them",
        {("pair_volts", (12, 12, 12)), ("position", CASE), (WIRES, 3), ("wire_colours", "three yellow")},
    ),
    ("about 12 volts at tickover between the yellows", set()),
    ("twin, positive earth, kick only, sixty eight", {(POST, "+"), ("starter", "kick"), ("year", 1968)}),
    ("posative earth, alternater, six vollt", {(VOLTAGE, 6), (POST, "+")}),
    (
        "it's a belt driven dynamo on the front with two terminals, D and F",
        {("position", BODY), ("terminal_letters", "D F")},
    ),
    ("my genny isn't charging", {("why", "flat battery")}),
    ("box is smoking hot, three wires", {("danger", HOT), (WIRES, 3)}),
    ("battery hissing and 16 volts on the meter", {("battery_volts", 16), ("danger", HISSING), ("danger", OVER)}),
    ("nothing hot or smoking, two thick wires, 12 volt battery", {(VOLTAGE, 12), ("danger", "nothing"), (WIRES, 2)}),
    ("had the engine apart over winter and now it won't charge", {(LAST, "engine apart"), ("why", "flat battery")}),
    (
        "new stator fitted last week, three wires, no brushes",
        {("brushes", "no brushes"), (LAST, "stator, rotor or dynamo"), (WIRES, 3)},
    ),
    ("needle goes to charge with the engine off", {("needle", "to charge")}),
    ("headlight works with the engine off, two wires", {("headlamp_engine_off", "lights"), (WIRES, 2)}),
    ("the lights only work when the engine is running", {("headlamp_engine_off", "dim or dark")}),
    ("lights go dead when I stop the engine", {("headlamp_engine_off", "dim or dark")}),
    ("lights on, engine off, ammeter shows 4 amps discharge", {("battery_amps", -4), ("fitted", "ammeter")}),
    ("engine off lights on the needle goes to discharge", {("needle", "to discharge")}),
    (
        "runs with the battery off, so it must be a magneto",
        {("ignition", "magneto"), ("runs_without_battery", "yes")},
    ),
    ("won't start with a flat battery, points and coil", {("ignition", POINTS), ("runs_without_battery", "no")}),
    (
        "lithium battery, reg rec, three phase with three wires",
        {("battery_kind", "LiFePO4"), ("regulated_by", "charging box"), (WIRES, 3)},
    ),
    ("gel battery, 12v, neg earth", {("battery_kind", "gel"), (VOLTAGE, 12), (POST, "-")}),
    ("sealed battery, minus to frame", {(POST, "-")}),
    (
        "no battery on it, energy transfer, five wires",
        {("battery_kind", "none"), ("ignition", "energy transfer"), (WIRES, 5)},
    ),
    ("want to go from 6 to 12 volts, plus to frame", {(POST, "+"), ("why", "6 to 12 V")}),
    ("thinking of going negative earth, it's a 6 volt battery", {(VOLTAGE, 6)}),
    ("blue can with a spring and square plates on a bolt", {("fitted", "capacitor"), ("fitted", "plate rectifier")}),
    ("finned thing under the headlamp with one wire", {("box_wires", 1)}),
    ("finned thing with four wires", {("box_wires", 4)}),
    ("one zener on a heat sink", {("regulated_by", "one Zener")}),
    ("two zeners, positive ground", {(POST, "+"), ("regulated_by", "two Zeners")}),
    (
        "black box with five wires, electronic ignition",
        {("box_wires", 5), ("ignition", "electronic"), ("regulated_by", "charging box")},
    ),
    ("it shows 14 so it charges", {("battery_volts", 14)}),
    ("it shows 8", {("battery_amps", 8)}),
    ("13.1/12.8/0.3 volts AC between the three wires ticking over", {("pair_volts", (13.1, 12.8, 0.3)), (WIRES, 3)}),
    (
        "12.4 volts at the battery with the engine off, 13.9 volts at the battery at 3000 revs",
        {("battery_volts", 12.4), ("battery_volts", 13.9)},
    ),
    ("charging at 3 amps fast with the lights on", {("battery_amps", 3)}),
    ("ammeter shows 4 amps discharge at tickover", {("battery_amps", -4), ("fitted", "ammeter")}),
    ("0.6 ohms between the two wires", {("pair_ohms", (0.6,)), (WIRES, 2)}),
    ("9.5 volts across 1 ohm at 3000 rpm, two wires", {("one_ohm_volts", (9.5,)), (WIRES, 2)}),
    ("rotor is 74 mm and six coils", {("coils", 6), ("rotor_diameter_mm", 74)}),
    ("stamped 16 amp, nine coils, three wires", {("coils", 9), ("marking", "16 A"), (WIRES, 3)}),
    (
        "no markings, two wires white/green and green/yellow",
        {("marking", "none"), (WIRES, 2), ("wire_colours", "white/green and green/yellow")},
    ),
    ("screwdriver sticks to the rotor", {("magnetism", "pulls steel")}),
    (
        "rotor doesn't pull a screwdriver, slip rings and brushes",
        {("brushes", "brushes on slip rings"), ("magnetism", "does not pull")},
    ),
    ("six pole rotor, none of the wires beep to the engine", {("poles", 6), ("wires_to_engine", "none beeps")}),
    ("not three wires, it's two wires", {(WIRES, 2)}),
    ("no box fitted, just a rectifier and no zener", {("regulated_by", "a rectifier alone")}),
    ("hasn't got a battery", {("battery_kind", "none")}),
    ("fuse in the negative lead, positive earth", {(POST, "+"), ("fuse_lead", "-")}),
    ("what have I got? two leads out of the crankcase", {("position", CASE), (WIRES, 2), ("why", "what have I got")}),
    (
        "need a regulator for a 12 volt battery, negative earth, three wires",
        {(VOLTAGE, 12), (POST, "-"), (WIRES, 3), ("why", "needs a box")},
    ),
    ("lights are dim, want a brighter headlamp, 6v bulb", {("bulb_voltage_V", 6), ("why", "more light")}),
    ("keeps blowing bulbs, boils the battery", {("danger", HISSING), ("why", "overcharging")}),
    ("the box you sold me failed, sending it back", {("why", "part came back")}),
    (
        "stood for years, a barn find, magneto ignition, dynamo strapped on",
        {("ignition", "magneto"), (LAST, "long laid up"), ("position", BODY)},
    ),
    ("rewired it, new loom, now not charging", {(LAST, "wiring"), ("why", "flat battery")}),
    ("electric starter, 1974, three wires", {("starter", "electric"), (WIRES, 3), ("year", 1974)}),
    ("don't know if it's positive earth, a pair of thick wires", {(WIRES, 2)}),
    ("used to be 6 volt, battery says 12 volt now", {(VOLTAGE, 12)}),
    (
        "control box with F A D E terminals, six volt battery",
        {(VOLTAGE, 6), ("regulated_by", "dynamo control box"), ("terminal_letters", "D F A E")},
    ),
    ("12 volt bulb but a 6 volt battery", {(VOLTAGE, 6), ("bulb_voltage_V", 12)}),
    ("two or three wires, can't see", set()),
    ("half a dozen coils and a couple of thick wires", {("coils", 6), (WIRES, 2)}),
    ("nineteen sixty two, chain driven dynamo", {("position", BODY), ("year", 1962)}),
    ("regulater swollen and melting", {("danger", HISSING), ("danger", HOT)}),
    ("about twelve", set()),
    ("discharging", {("why", "flat battery")}),
    ("points", {("ignition", POINTS)}),
    ("cut-out is stuck", set()),
    (
        "four wires from behind the primary cover, one of them beeps to the engine",
        {("position", CASE), (WIRES, 4), ("wires_to_engine", "one beeps")},
    ),
    ("two thin wires and three thick wires", {(WIRES, 3), ("thin_wires", 2)}),
    ("swapped the bulbs for led, now the needle won't move", {(LAST, "lamps")}),
    ("is it positive earth? no idea", set()),
    (
        "fitted electronic ignition, runs fine, flat battery every week",
        {("ignition", "electronic"), (LAST, "ignition"), ("why", "flat battery")},
    ),
    ("+ to frame, 12V, two wires, 10A stator", {(VOLTAGE, 12), (POST, "+"), (WIRES, 2)}),
]

# By hand as well, written before any of them was tried.
OTHERS: Told = [
    (
        "she's a 59, six volts, mag for the spark and a dynamo strapped underneath",
        {(VOLTAGE, 6), ("ignition", "magneto"), ("position", BODY), ("year", 1959)},
    ),
    (
        "got three leads coming out of the primary chaincase, all yellow",
        {("position", CASE), (WIRES, 3), ("wire_colours", "yellow")},
    ),
    ("battery won't stay up, changed it last month", {(LAST, "battery"), ("why", "flat battery")}),
    ("positive to the frame as far as I know, two fat wires", {(POST, "+"), (WIRES, 2)}),
    ("there's a smell of burning from under the seat", {("danger", HOT)}),
    ("reg/rec is too hot to touch after a mile", {("danger", HOT), ("regulated_by", "charging box")}),
    ("battery bulging at the sides, it's lithium", {("battery_kind", "LiFePO4"), ("danger", HISSING)}),
    (
        "can you do me a 12 volt conversion, dynamo on the front of the engine",
        {("position", BODY), ("why", "6 to 12 V")},
    ),
    ("kickstart, no battery, five wires", {("battery_kind", "none"), ("starter", "kick"), (WIRES, 5)}),
    (
        "it boils over on long runs, 15.8 volts at the battery revved up",
        {("battery_volts", 15.8), ("danger", HISSING), ("danger", OVER)},
    ),
    ("12.8 volts ac between the two wires at idle", {("pair_volts", (12.8,)), (WIRES, 2)}),
    ("11 and 12 and 11 volts between the three wires, ticking over", {("pair_volts", (11, 12, 11)), (WIRES, 3)}),
    ("about 0.5 ohm across each pair, three wires", {("pair_ohms", (0.5, 0.5, 0.5)), (WIRES, 3)}),
    ("9 coils and three thick wires", {("coils", 9), (WIRES, 3)}),
    ("rotor measures 70 mm", {("rotor_diameter_mm", 70)}),
    ("nothing printed on the stator, six bobbins", {("coils", 6), ("marking", "none")}),
    ("no zener, no box, nothing", set()),
    (
        "there's a zener under the headlamp and a plate rectifier",
        {("fitted", "plate rectifier"), ("regulated_by", "one Zener")},
    ),
    ("minus earth, contact breakers, sealed battery", {(POST, "-"), ("ignition", POINTS)}),
    ("the ammeter needle doesn't move with the key on", {("fitted", "ammeter"), ("needle", "stays still")}),
    ("had the stator rewound, no output at all", {(LAST, "stator, rotor or dynamo"), ("why", "flat battery")}),
    ("bought a new headlamp bulb, 12 volt 60 watt", {("bulb_voltage_V", 12), (LAST, "lamps")}),
    ("seventy two, electric start, negative ground", {(POST, "-"), ("starter", "electric"), ("year", 1972)}),
    ("ran home with the battery disconnected once", {("runs_without_battery", "yes")}),
    ("green wire to the frame, brown and blue to the battery", set()),
    ("we would like it to be negative earth", set()),
    ("not electronic, points", {("ignition", POINTS)}),
    ("carbon brushes on copper segments", {("brushes", "brushes on a commutator")}),
    ("3 wires, I think, maybe 4", {(WIRES, 3)}),
    (
        "regulator with four wires, 13.6 volts across the battery flat out",
        {("battery_volts", 13.6), ("box_wires", 4)},
    ),
    ("the part came back, wrong one", {("why", "part came back")}),
    ("the dynamo's off being rebuilt", {(LAST, "stator, rotor or dynamo")}),
]

# By hand as well: hesitant, run on, without commas, each answer decided before any of them was tried.
RUN_ON: Told = [
    (
        "yeah hello um it's an old twin and the er the battery keeps going flat on me I put a new one in and it's no"
        " better",
        {(LAST, "battery"), ("why", "flat battery")},
    ),
    (
        "so there's like two wires coming out the bottom of the engine sort of thick ones both yellow",
        {("position", CASE), (WIRES, 2), ("wire_colours", "yellow")},
    ),
    (
        "I reckon it's a sixty five or sixty six kickstart with the points under a little round cover",
        {("ignition", POINTS), ("starter", "kick")},
    ),
    ("it's got one of them big round dynamo things in front of the barrel with a belt on it", {("position", BODY)}),
    ("what I've done is count the lumps on the stator and there's nine of em", {("coils", 9)}),
    ("the box is that hot you can't touch it and there's a funny smell", {("danger", HOT)}),
    (
        "she boiled the battery dry last weekend now it's fizzing again",
        {("danger", HISSING), ("why", "overcharging")},
    ),
    (
        "my mate put his meter on the battery and it was up at nearly seventeen with it revved",
        {("battery_volts", 17), ("danger", OVER)},
    ),
    ("it never goes above thirteen volts at the battery however hard I rev it", {("battery_volts", 13)}),
    (
        "two black wires and a red one from the back of the alternator",
        {(WIRES, 3), ("wire_colours", "two black, one red")},
    ),
    ("hang on I'll have a look right the lead off the frame goes to the terminal with a plus on it", {(POST, "+")}),
    ("neg earth I'm told and it's got one of them gel batteries", {("battery_kind", "gel"), (POST, "-")}),
    (
        "six volts it says on the battery but someone's stuck a twelve volt bulb in the headlight",
        {(VOLTAGE, 6), ("bulb_voltage_V", 12)},
    ),
    ("you turn the lights on engine off and the needle swings over to the left", {("needle", "to discharge")}),
    (
        "ammeter reads minus two with the lights on ticking over",
        {("battery_amps", -2), ("fitted", "ammeter")},
    ),
    (
        "I get thirteen and a half volts at the battery with the lights off and twelve point one with them on doing"
        " about three thousand",
        {("battery_volts", 13.5), ("battery_volts", 12.1)},
    ),
    (
        "I measured it between all three wires and I got nineteen volts on every pair just ticking over",
        {("pair_volts", (19, 19, 19)), (WIRES, 3)},
    ),
    ("it's about point eight ohms between the two leads", {("pair_ohms", (0.8,)), (WIRES, 2)}),
    (
        "with a one ohm resistor across the pair it gave eight and a half volts at three thousand",
        {("one_ohm_volts", (8.5,))},
    ),
    ("the rotor's seventy four mill across I put the vernier on it", {("rotor_diameter_mm", 74)}),
    (
        "rotor it's got six poles on it and it grabs the screwdriver proper hard",
        {("magnetism", "pulls steel"), ("poles", 6)},
    ),
    ("there ain't no brushes in it that I can see", {("brushes", "no brushes")}),
    ("brushes run on two smooth brass rings", {("brushes", "brushes on slip rings")}),
    ("it says sixteen amp on the edge of the stator in tiny letters", {("marking", "16 A")}),
    ("there was a plate riveted on but you can't read nothing on it", {("marking", "none")}),
    (
        "I put the buzzer on each wire to the engine and not one of them buzzed",
        {("wires_to_engine", "none beeps")},
    ),
    ("one of the wires bleeps to earth the other two don't", {("wires_to_engine", "one beeps")}),
    (
        "letters on the box are F A D E and it's got a lid with a clip",
        {("regulated_by", "dynamo control box"), ("terminal_letters", "D F A E")},
    ),
    (
        "five wires go into the black finned box under the tank",
        {("box_wires", 5), ("regulated_by", "charging box")},
    ),
    (
        "it's got the square plates thing and a zener diode up on the headlamp bracket",
        {("fitted", "plate rectifier"), ("regulated_by", "one Zener")},
    ),
    (
        "no regulator no nothing just wires straight off to the battery through a rectifier",
        {("regulated_by", "a rectifier alone")},
    ),
    (
        "it's got them electronic gubbins instead of points, starts on the button mind",
        {("ignition", "electronic"), ("starter", "electric")},
    ),
    (
        "mag sparks it so it'll run with no battery in, did it last summer",
        {("ignition", "magneto"), ("runs_without_battery", "yes")},
    ),
    ("it just dies the second you pull the battery lead off", {("runs_without_battery", "no")}),
    ("fuse is in the wire off the minus side, positive to the frame so", {(POST, "+"), ("fuse_lead", "-")}),
    (
        "had it in bits over christmas new crank and that and it hasn't charged since",
        {(LAST, "engine apart"), ("why", "flat battery")},
    ),
    (
        "I rewired it myself last spring and put led lamps in all round now it blows them",
        {(LAST, "lamps"), (LAST, "wiring"), ("why", "overcharging")},
    ),
    (
        "I'm after more light really, it's a twelve volt lithium one",
        {("battery_kind", "LiFePO4"), (VOLTAGE, 12), ("why", "more light")},
    ),
    ("is it twelve volts, dunno, it's a 1958 so it'll be six won't it", {("year", 1958)}),
    ("three thick wires and a thin one, thin one's green", {(WIRES, 3), ("thin_wires", 1)}),
    ("it's been sat in the barn fifteen years so the battery's had it", {(LAST, "long laid up")}),
    (
        "I'd like to stick a twelve volt set up on it instead of the six, it's positive earth",
        {(POST, "+"), ("why", "6 to 12 V")},
    ),
    (
        "charge light stays on and the amp meter don't budge",
        {("fitted", "ammeter"), ("fitted", "charge warning lamp")},
    ),
    (
        "you lot sold me a reg rec three weeks back and it's packed up",
        {("regulated_by", "charging box"), ("why", "part came back")},
    ),
]

# By hand as well, written once all of that was mended; nothing was mended after these were tried.
LAST_TRIED: Told = [
    ("headlamp's stone dead till she's running", {("headlamp_engine_off", "dim or dark")}),
    (
        "well I pulled the cover off and there's six fat coils in there and no brushes",
        {("brushes", "no brushes"), ("coils", 6)},
    ),
    ("right so plus terminal strap goes on the gearbox bolt", {(POST, "+")}),
    ("erm the battery is a sealed thing and it says twelve volts on the side", {(VOLTAGE, 12)}),
    (
        "three leads from the stator and I get about fourteen volts ac across any two at idle",
        {(WIRES, 3), ("pair_volts", (14, 14, 14))},
    ),
    (
        "had a new rotor pressed on by a chap in the village and since then nothing no charge",
        {(LAST, "stator, rotor or dynamo"), ("why", "flat battery")},
    ),
    (
        "with the motor running fast my meter says sixteen and a half on the battery",
        {("battery_volts", 16.5), ("danger", OVER)},
    ),
    ("you can smell it, sort of burning plastic, coming off the rectifier", {("danger", HOT)}),
    ("battery case is all swelled up like a balloon", {("danger", HISSING)}),
    (
        "it's a kick start fifty four single with a magneto",
        {("ignition", "magneto"), ("starter", "kick"), ("year", 1954)},
    ),
    (
        "the ammeter sits dead in the middle with the key on and the lights on",
        {("fitted", "ammeter"), ("needle", "stays still")},
    ),
    ("goes like a train no bother but the lights are rubbish and I want better ones", {("why", "more light")}),
    (
        "two zeners one each side of the headlamp and a blue can under the seat",
        {("fitted", "capacitor"), ("regulated_by", "two Zeners")},
    ),
    (
        "rotor measured seventy mill and nought point four of an ohm across the two wires",
        {("pair_ohms", (0.4,)), ("rotor_diameter_mm", 70), (WIRES, 2)},
    ),
    (
        "I fitted one of your electronic boxes last month and now the bulbs keep going pop",
        {(LAST, "box, regulator or rectifier"), ("regulated_by", "charging box"), ("why", "overcharging")},
    ),
    ("it runs on without the battery, I had it out all last winter", {("runs_without_battery", "yes")}),
    ("marked D and F it is on the end of the dynamo", {("terminal_letters", "D F")}),
]

# By hand: nothing in these is about the charging of a bike.
UNRELATED = [
    "good morning, I would like two tickets for the seven o'clock train",
    "can you post me three tins of green paint by friday",
    "my horse has three brown legs and a white tail",
    "the river is high after the rain",
    "is the shop open on sunday, and what is the price of a mudguard",
    "I sent you a letter last week about the invoice",
    "the carburettor floods and the clutch drags",
    "front brake squeals, and the back tyre is worn",
    "what a lovely day for a ride with my sister",
    "do you sell twelve inch spanners",
    "we had six eggs and toast for breakfast",
    "she was writing a book while he painted the blue boat",
    "the bowling club meets at eight",
    "my neighbour bought a house in the mountains",
    "please change the address on my order",
    "it rattles when cold and the gearbox leaks",
    "thanks, that is all for now",
    "how long is delivery to the north",
    "the left hand silencer bracket has cracked",
    "could you print the receipt",
    "",
    "... , ; ?",
]
