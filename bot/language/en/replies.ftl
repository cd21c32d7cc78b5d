# All that the bot says, in English. `**…**` is strong: in a notification the first words must carry the point.
# Say what was understood, what it means now, what to do, in that order, and stop.

## Words

weekdays = Mon Tue Wed Thu Fri Sat Sun
months = January February March April May June July August September October November December
today = today
tomorrow = tomorrow
yesterday = yesterday
weekday-date = { $weekday } { $date }
month-day = { $day } { $month }
date-year = { $date } { $year }
span = { $from } to { $to }
day-clock = { $day }, { $clock }
day-at-clock = { $day } at { $clock }
at-clock = at { $clock }
days = { $count ->
    [one] { $count } day
   *[other] { $count } days
}
list-or = { $first } or { $last }
no-words = no n nope nah neither
not-words = not never didn didnt haven havent wasn wasnt
amount-lead-words = i meant, i mean, it is, its, it was, thats, that is, that was, no, no it was, no i meant, sorry, oops, just, only
answer-lead-words = i meant, i mean, it is, its, it was, thats, that is, that was, into, in, from, the one called, called
opened-words = open opened reopened reopen
each-words = each, from each, from both, both, apiece, from all, of each
and-words = and, &, plus
unknown-words = no idea, dont know, i dont know, dunno, not sure, im not sure, no clue, cant say, cant tell, didnt measure, i didnt measure, didnt measure it, did not measure, not measured, forgot to measure, i forgot to measure, forgot, who knows, idk, no measure, no idea sorry, sorry no idea, dont know sorry, sorry i dont know, couldnt say, hard to say, didnt look, i didnt look, didnt check
yes-words = yes y yep yeah yup ok okay right correct exactly sure si ja

span-week = this week
span-last-week = last week
span-month = this month
span-last-month = last month
span-year = this year

## What people who share bins say: lists of phrases, a comma apart, without apostrophes

offer-words = take my turn, cover my turn, do my turn, take over my turn, swap turns, swap my turn, switch turns, stand in for me
somebody-words = someone, somebody, anyone, anybody, who, could you, can you, would you, will you, can we, could we, please
# What takes work upon who says it: what may stand before, who, what, and what may stand after. Lists of words have no commas.
decline-words = cant, cannot, can not, wont manage, dont manage, not able to, unable to, no time, not today, not tonight, not me, someone else, somebody else, im ill, im sick
decline-not-words = cant wait, cant believe, cant see, cant find, cant tell
claim-lead-words = and ok okay sure yes yep yeah fine alright all right no problem worries hi hey hello well dont worry oh then so
claim-whole-words = on it, im on it, i am on it, mine, leave it to me, leave that to me, i got it, ive got it, i got this, ive got this, i have got it
claim-who-words = ill, i will, i can, i could, let me, im going to, i am going to, im happy to, happy to, ill happily, id be happy to
claim-turn-of-words = take, do, cover, cover for, do it for, take it for, stand in for, take over, take over from, take over for, swap with
claim-turn-words = your turn the this that turn shift you
claim-it-words = do it, do both, take both, do them, do them all, do all of it, do all of them, do that, do this, do this one, do that one, take it, take that, take this, take this one, take that one, take over, take it over, take it on, take care of it, take care of that, handle it, handle that, cover, cover it, get it done, see to it, see to that, deal with it, sort it
claim-drain-words = drain, empty, empty out
claim-bran-words = put the bran on, put bran on, add the bran to, add bran to, sprinkle
claim-seal-words = seal, close, shut
claim-check-words = check, check on, look at, have a look at, look into, look in on
claim-bury-words = bury, dig in
claim-plant-words = plant
claim-starter-words = make, mix, start
claim-thing-words = it that this the bin liquid juice tea batch bran bed in of out
claim-more-words = tonight today tomorrow now right later this evening afternoon morning night noon lunch in the on at by around about after before work dinner breakfast school im i get am home then time week weekend for you no problem worries happy to if like want thats ok okay fine nobody else does cheers thanks anyway myself an half hour hours minute minutes bit soon way monday tuesday wednesday thursday friday saturday sunday oclock pm as well
claim-about-words = turn, turns, bin, bins, bokashi, done it, did it, who can do it, who will do it, who does it, can anyone do it, can someone do it, can anybody do it, can somebody do it, cant, cannot, busy, im away, not me
who-did-words = who did what, who has done what, whos done what, who did the work, who did how much
forget-me-words = forget me, delete my data, erase my data, remove my data, delete me, erase me, remove me, delete everything about me, erase everything about me, forget everything about me, forget my data, right to be forgotten
my-data-words = my data, what do you know about me, what do you know of me, what do you keep about me, what do you keep of me, what have you stored about me, what do you store about me, what have you saved about me, what have you got on me, data about me
house-words = house rules, rules of the house, rules here, our rules
house-set-words = set the house rules, set house rules, change the house rules, change house rules, ask the house rules
all-words = all both everything each

## Work, in a word or two

work-drain = drain { $name }
work-bran = bran on { $name }
work-full = get the bin after { $name } ready
work-seal = seal { $name }
work-check = look at { $name }
work-check-lost = get the lost batch out of { $name }
work-bury = bury { $name }
work-plant = plant { $name }
work-starter = make bran

## What a short answer stands for: sentences for the ear

sentence-added = added { $amount } of scraps
sentence-put-in = put in { $lot }
sentence-deep = buried it { $length } deep
sentence-drained = drained { $amount }
sentence-added-to = added { $answer } of scraps to { $bin }
sentence-bran-on = { $answer } of bran on { $bin }
sentence-drained-from = drained { $answer } from { $bin }
sentence-amount-of = { $amount } of { $answer }
sentence-in-bin = { $text } in { $answer }
sentence-in-plot = { $text } in the { $answer }
sentence-new-bin = new bin { $answer }
sentence-with-size = { $text }, { $ml } ml
sentence-with-tap = { $text }, with a tap
sentence-without-tap = { $text }, no tap
sentence-bed-size = new bed { $plot }, { $answer }
sentence-bin-size = new bin { $bin }, { $answer }
sentence-soil-ph = soil in the { $plot } at ph { $answer }
sentence-buried = buried { $bin } in the { $answer }

## Greeting and help

greeting-direct = **Hello. I keep your bokashi bin on time:** you text what you did, I say what is next.
    To start, tell me the bin and its size, for instance: `{ example-bin }`
    I take it you are on { $zone } time and measure in { $units }. If not: `we are in { $elsewhere }`, `use { $other } units`.
greeting-group = **Hello all. I keep the bokashi bins on time:** say what you did, and I tell whose turn it is for what.
    To start, tell me a bin and its size, for instance: `{ example-bin }`
    I take it you are on { $zone } time and measure in { $units }. I listen for reports and questions about the bins, and leave all other talk alone.
# Examples in the units of the room.
example-bin = { $system ->
    [us] new bin green, 5 gallons
    [imperial] new bin green, 4 gallons
   *[metric] new bin green, 19 litres
}
example-second-bin = { $system ->
    [us] new bin blue, 4 gallons
    [imperial] new bin blue, 3 gallons
   *[metric] new bin blue, 15 litres
}
example-size = { $system ->
    [us] 5 gallons
    [imperial] 4 gallons
   *[metric] 19 litres
}
example-scraps = { $system ->
    [us] added three quarts
    [imperial] added five pints
   *[metric] added three litres
}
example-drained = { $system ->
    [us] drained 5 fl oz
    [imperial] drained 5 fl oz
   *[metric] drained 150 ml
}
example-warmth = { $system ->
    [us] kitchen is 63 degrees
    [imperial] kitchen is 17 degrees
   *[metric] kitchen is 17 degrees
}
example-bran-made = { $system ->
    [us] made 2 lb of bran
    [imperial] made 2 lb of bran
   *[metric] made a kilo of bran
}
example-bran-left = { $system ->
    [us] 14 oz of bran left
    [imperial] 14 oz of bran left
   *[metric] 400 g of bran left
}
example-bran-ask = { $system ->
    [us] how much bran for 2 quarts?
    [imperial] how much bran for 4 pints?
   *[metric] how much bran for 2 litres?
}
example-water-ask = { $system ->
    [us] how much water for 7 fl oz?
    [imperial] how much water for 7 fl oz?
   *[metric] how much water for 200 ml?
}
example-another = { $system ->
    [us] what if we had another 15 gallon bin?
    [imperial] what if we had another 13 gallon bin?
   *[metric] what if we had another 60 l bin?
}
example-bed-size = { $system ->
    [us] 10 by 4 ft
    [imperial] 10 by 4 ft
   *[metric] 3 by 1.2 metres
}
example-small-bed = { $system ->
    [us] 6 by 3 ft
    [imperial] 6 by 3 ft
   *[metric] 2 by 1 metres
}
units-metric = litres and kilos
units-us = US cups, gallons and pounds
units-imperial = pints, gallons and pounds
help = **Text me what you do, ask me what is next.** For instance:
    `{ example-scraps }` · `2 tbsp bran` · `{ example-drained }` · `sealed it` · `white fuzz, smells sour`
    `{ example-warmth }` · `green is half full` · `buried it in the herb bed` · `pH 6.5 in the herb bed` · `planted beans`
    `{ example-bran-made }` · `{ example-bran-left }` · `{ example-second-bin }` · `quiet from 10 pm to 7 am`
    `how's green?` · `when is it ready?` · `{ example-bran-ask }` · `{ example-water-ask }` · `how big a hole?`
    `can I put bones in?` · `{ example-another }` · `chart` · `chart of the year` · after any number: `why?`
    To put things right: `undo`, `no, 2 not 3`, `I meant blue`. To a reminder: `done`, `in an hour`, `skip`.
help-together = Together: `whose turn is it?` · `can someone take my turn?` · `I'm away until friday` · `who did what this month?` · `house rules`

## What was told, in short

brief-scraps = { $amount } in { $bin }
brief-bran = { $amount } bran on { $bin }
brief-drained = { $amount } drained from { $bin }
brief-drained-nothing = Nothing out of { $bin }
brief-drained-unknown = { $bin } drained
brief-drained-about = { $bin } drained, taken as { $amount }
brief-started = new batch in { $bin }
brief-sealed = { $bin } sealed
brief-checked = { $bin }: { $signs }
brief-checked-only = { $bin } looked at
brief-temperature = { $amount } where the bins stand
brief-temperature-bin = { $bin } at { $amount }
brief-temperature-plot = soil in { $plot } at { $amount }
brief-soil-ph = soil in { $plot } at pH { $ph }
brief-level = { $bin } about { $percent ->
    [25] a quarter
    [33] a third
    [50] half
    [67] two thirds
    [75] three quarters
   *[other] { $percent } %
} full
brief-level-full = { $bin } full
brief-level-empty = { $bin } empty
brief-buried = { $bin } buried
brief-buried-in = { $bin } buried in { $plot }
brief-discarded = { $bin } thrown out
brief-planted = { $plot } planted
brief-planted-crop = { $crop } planted in { $plot }
brief-cleaned = { $bin } washed
brief-starter-made = { $amount } of bran made
brief-starter-bought = { $amount } of bran bought
brief-starter-stock = { $amount } of bran in stock
brief-starter-out = out of bran
brief-bin = { $bin }, { $amount }
brief-bin-sizeless = { $bin }
brief-bin-tap = { $bin }: with a tap
brief-bin-no-tap = { $bin }: no tap
brief-bin-gone = { $bin } is no longer in use
brief-plot = { $plot }, { $amount }
brief-plot-sizeless = { $plot }
brief-measure = one { $measure } is { $amount }
brief-zone = the clock here is on { $zone } time
brief-units = measuring in { $units }
brief-quiet = quiet from { $from } to { $to }
brief-quiet-off = no quiet hours
house-premises = all of it stays on these premises
house-premises-not = the bins serve several premises
house-animals = animals are kept here
house-animals-not = no animals are kept here
house-meat = meat, fish and dairy may go in
house-meat-not = no meat, fish or dairy
house-premises-ask = **One thing about the house: does all of it stay on the same premises,** from the kitchens to the bed? `yes` or `no`.
house-animals-ask = **Are hens, pigs or other animals kept there?** `yes` or `no`.
house-meat-ask = **May meat, fish and dairy go in?** Without them it is easier, and the law asks less. `yes` or `no`.
house-premises-caution = Moving kitchen scraps between premises may need an approval: ask your council, and keep meat and dairy out until you know.
house-animals-caution = Keep the animals off the bins and the beds: kitchen scraps must not be fed to farmed animals.
house-head = **The rules of this house:**
house-line = { $rule }.
house-none = **No rules were told yet.** A steward can: `set the house rules`.
brief-digest = a digest every { $span ->
    [day] day
   *[week] week
}
brief-digest-next = a digest every { $span ->
    [day] day
   *[week] week
}, next { $moment }
brief-digest-off = no digest
brief-away = you are away
brief-away-until = you are away until { $day }
brief-back = welcome back
back-first = First of all:
back-nothing = Nothing is overdue.

kept = **{ $brief }.**
kept-level = **{ $brief }** (pressed down: { $part } of { $whole }).
changed = **Changed: { $brief }.**
changed-level = **Changed: { $brief }** (pressed down: { $part } of { $whole }).
taken-back = **Taken back: { $brief }** ({ $moment }).
nothing-there = **There is nothing of yours to take back or change.**
put-off = **I'll say it again { $moment }.**
let-go = **All right.**
unknown-kept = **All right,** it stays as expected.
unknown-dropped = **All right.** Nothing is written down then; a guess like `about 200 ml` helps too.
only-stewards = **Only stewards can do that** (here: { $names }). I've left it as it is.
done-already = **That is done already.** Thank you.
nothing-asked = **I had not asked for anything.** Tell me what you did: `{ example-drained }`, `sealed green`.

## What it means now

bran-please = { $bran } bran on top, please.
bran-covered = That covers it.
bran-owed = { $bran } more to go.
fill-line = That is the fill line: { $bran } bran on top, press it down and seal it.
drained-plants = With { $water } of water it feeds soil: today, not on leaves or seedlings.
drained-choice = For plants: { $water } of water with it, on soil, today. Or down the sink; never where bleach has been.
drained-pipes = Good for the pipes, but never where bleach has been.
drained-how-much = How much was it?
drained-how-much-from = How much was it from { $bin }?
sealed-ready = Ready about { $day } ({ $span }). Keep draining it, and keep it above { $cold }.
sealed-ready-tapless = Ready about { $day } ({ $span }). Keep it above { $cold }.
started-first = { $bran } bran at the bottom first.
cold-move = Below about { $cold } it hardly works: move { $bin } somewhere warmer.
reopened-anew = { $bin } is open again: its time starts when you seal it.
level-forecast = Full about { $day } ({ $span }).
level-full = { $bran } bran on top, press it down and seal it.
buried-plant = Plant from { $early }, safe from { $safe }; seedlings last. Wash the bin with vinegar, never with bleach.
buried-in-part = A bin counts as empty once it is buried. When the rest is, tell me so, and where (`buried the rest of it in the herb bed`): then each bed counts its part.
in-part-words = half of, half the, half a, a third of, a quarter of, a part of, part of, some of, most of, two thirds of, three quarters of, half in, half into, half under
buried-wash = Wash the bin with vinegar, never with bleach.
buried-which-plot = In which bed?
discarded-wash = Wash the bin with vinegar (never with bleach), then start afresh.
bleach-caution = **Never bleach:** with vinegar, or with the bin's own liquid, it gives off chlorine gas. Where there was some, air the room and rinse it off with plenty of water first; then wash with vinegar alone.
# What makes a message one about bleach, and what takes that back.
bleach-words = bleach, bleached, bleaching, chlorine bleach, javel water, hypochlorite
bleach-not-words = no bleach, not bleach, without bleach, never bleach, not with bleach, never with bleach, without any bleach, instead of bleach, didnt bleach
cleaned-fresh = It can be filled again: { $bran } bran at the bottom first.
starter-made-ready = Keep it sealed until { $day }, then dry it. It works best at room temperature.
starter-lasts = That lasts until about { $day } ({ $span }).
starter-lasts-long = That lasts for months: until { $early } at least.
bin-first = First { $bran } bran at the bottom. Then tell me what goes in: `{ example-scraps }`.
bin-size = How big is it?
plot-size = How big is it? (`{ $plot } is { example-small-bed }`.)
planted-young = Rather early: seedlings suffer first. What was buried there is safe for them from about { $day } on; a pH strip at 6 to 7 settles it.
seedling-words = seedling, sown, seeds, plug plants
planted-early = Rather early: what was buried there is safe from { $safe } on, and seedlings suffer first.
strip-free = Sour no more: plant from now on, whatever the calendar says; seedlings last.
strip-sour = Still sour: most plants want { $low } to { $high }. Hold a strip in again { $again }; it counts for more than the calendar.
strip-soil-sour = Sour: most plants want { $low } to { $high }.
temperature-soil = Plant from { $early }, safe from { $safe }.
temperature-frozen = Frozen ground: nothing counts down until it thaws.

## Remarks, made once

hint-too-cold = At { $temperature } { $bin } hardly works: move it somewhere warmer than { $cold }.
hint-filling-long = { $bin } has been filling for { $days }: its first layers are done while the last are raw. Two weeks are enough; seal it as it is, or take a smaller bin next time.
hint-no-tap = { $bin } has no tap: torn cardboard at the bottom and between the layers soaks up the liquid.
hint-no-spare = No other bin is free then: while it ferments, a second one takes the scraps, or a lidded box in the freezer.
hint-no-spare-until = No other bin is free until about { $day }: till then a lidded box in the freezer takes the scraps, or a further bin.
hint-plot-enough = { $plot } has had its nitrogen for this year: { $load }, where { $yardstick } is the yardstick (farm law for manure, no rule for gardens). The next batch elsewhere.

## Signs and advice

sign-sweet-sour = sweet-sour smell
sign-rotten = rotten smell
sign-ammonia = smell of ammonia
sign-alcohol = smell of alcohol
sign-no-smell = no smell
sign-white = white mould
sign-green = green mould
sign-black = black mould
sign-blue = blue mould
sign-other = mould
sign-no-mould = no mould
sign-wet = wet
sign-dry = dry
sign-moist = moisture fine
sign-pests = flies or maggots
sign-no-pests = no pests
sign-bulging = lid bulging
sign-leaking = lid leaking
sign-loose = lid loose
sign-lid = lid fine

drained-nothing = A bin may well be dry: bread and paper take up the liquid.
verdict-unknown = White fuzz and a sour smell are right; tell me of anything else.
verdict-good = **{ $finding }.** It is working. Lid back on.
verdict-watch = **{ $finding }.** It goes on.
verdict-mend = **{ $finding }.** It can be saved.
verdict-lost = **{ $finding }. That batch is lost.**
verdict-still-lost = **{ $bin }: { $finding }. That batch stays lost:** { $by } ({ $moment }). Lid on, and don't use it.
verdict-of = { $bin }: { $finding }

finding-bad-mould = { $colour } mould
finding-rotting = rotten, not sour
finding-unknown-mould = mould of another colour is no good sign
finding-pests = flies got in
finding-ammonia = ammonia means too wet, or too little bran
finding-ammonia-dry = ammonia means too little bran
finding-gas-pressure = gas lifts the lid
finding-air-gets-in = the lid lets air in
finding-too-wet = too wet
finding-too-dry = rather dry
finding-yeasts = alcohol is yeast at work, and harmless
finding-white-mould = white is good
finding-sweet-sour = sour is right
finding-no-smell = no smell is fine
finding-nothing = nothing wrong
colour-green = green
colour-black = black
colour-blue = blue

step-close-lid = lid on
step-take-outside = take the bin outside
step-vent-slowly = let the gas out slowly, face turned away
step-bury-deep-or-discard = bury it { $deep } deep or put it in the rubbish
step-discard = put it in the rubbish in a closed bag, it is too far gone for the garden
step-wash-with-vinegar = wash the bin with vinegar
step-start-afresh = start afresh with plenty of bran
step-take-off-top = take off the spoilt top
step-drain = drain it
step-add-bran = an extra layer of bran
step-press-down = press it down
step-tighten = close it airtight
step-add-dry-matter = add torn cardboard or dry bread
step-moisten = sprinkle a little water
step-less-protein = less meat and dairy at a time
step-look-again = look again in three days

caution-do-not-sniff = Don't sniff it.
caution-somebody-else = With asthma or a weak immune system, let somebody else do it.
caution-gloves-and-hands = Gloves, and wash your hands.
caution-never-bleach = Never bleach: with vinegar or the bin's liquid it gives off chlorine gas.
caution-gas-pressure = Never in glass.
caution-pets-and-children = Keep pets and children off it.

## Questions back

back-bin = **Which bin: { $choices }?** Nothing is written down yet.
back-bin-unknown = **There is no { $said } here.** { $choices }? Nothing is written down yet.
back-no-bins = **Which bin is that?** Tell me its name and size (`{ example-bin }`), and I'll write it down.
back-name = **What is it called?** One word will do: `green`, `kitchen`.
back-name-first = **That waits** until I know what the bin is called. One word will do: `green`, `kitchen`.
# Words that say that a further bin is meant.
another-bin-words = new, another, second, 2nd, third, 3rd, further, more
back-no-bins-again = **That waits with the others** until I know the bin: `{ example-bin }`. Then I write it all down.
back-reopened = **{ $bin } has been sealed since { $since }.** Did you open it again, or did it go into { $others }? Nothing is written down yet.
back-reopened-only = **{ $bin } has been sealed since { $since }.** Did you open it again, or did it go into another bin? Nothing is written down yet.
back-elsewhere = **Into { $bin }, then?** Nothing is written down yet.
back-plot = **Which bed: { $choices }?**
back-no-plots = **Which bed?** Tell me its name and size: `new bed south, { example-bed-size }`.
back-ph = **What does the strip show?** `6.5`
back-amount = **How much was it?** Nothing is written down yet.
back-unit = **{ $choices }?**
back-unit-guess = **{ $amount }: is that right?** Say `yes`, or how much it was.
back-nothing-yet = Nothing is written down yet.
# The units to choose from, parted by commas.
unit-choices = { $system ->
    [us] cups, quarts, pounds
    [imperial] litres, pints, pounds
   *[metric] litres, kilos, cups
}
unit-choices-liquid = { $system ->
    [us] fluid ounces, cups, quarts
    [imperial] fluid ounces, pints, litres
   *[metric] millilitres, litres, cups
}
unit-choices-size = { $system ->
    [us] gallons, quarts, litres
   *[other] litres, gallons
}
unit-choices-bran = { $system ->
    [us] tablespoons, cups, ounces
    [imperial] tablespoons, cups, ounces
   *[metric] tablespoons, grams, cups
}
amount-ml = { $number } ml
back-too-much = **{ $bin } holds { $whole }: how much was it?** Nothing is written down yet. If it is bigger, tell me its size.
back-size = **Nothing is of that size: how big is { $name }?** Nothing is written down yet.
back-time = **When was that?** Nothing is written down yet.
back-unread = { $count ->
    [one] **I could not read that:** its key did not come. Nothing of it is written down; please say it again.
   *[other] **I could not read your last { $count } messages:** their keys did not come. Nothing of them is written down; please say it again.
}
back-too-long = **That is too long for me, so nothing of it is written down:** a few lines at a time, please.
back-forgetting = **Forget you here?** Your logs stay, because they say what is in the bins; your name goes from them, and from all I said. It can't be taken back. `yes` to do it.
back-which = **Which of them: { $choices }?** Or `all`.
back-meaning = **I don't follow.** Say `help` for what I understand.
back-meaning-near = **I don't follow.** Say it like { $example }, or `help` for more.

# The example that is nearest to what was said: by words, the most telling first.
near-drain-words = drain, drained, draining, drains, liquid, juice, tap, tea, leachate, pour, poured
near-drain = `{ example-drained }`
near-bran-words = bran, starter, inoculant, sprinkle, sprinkled
near-bran = `2 tbsp bran`, `{ example-bran-ask }`
near-check-words = smell, smells, smelly, smelling, stinks, stink, mould, mold, mouldy, moldy, fuzz, fluff, flies, maggots, wet, dry, slimy, look, looks, normal
near-check = `white fuzz, smells sour`
near-seal-words = seal, sealed, close, closed, shut, lid
near-seal = `sealed it`
near-bury-words = bury, buried, burying, dig, dug, trench, hole, compost
near-bury = `buried it in the herb bed`, `how big a hole?`
near-plant-words = plant, planted, planting, sow, seeds, seedlings
near-plant = `planted beans`, `can I plant yet?`
near-plot-words = bed, beds, plot, plots, garden, border
near-plot = `new bed south, { example-bed-size }`
near-warmth-words = degrees, temperature, warm, cold, hot, celsius, fahrenheit
near-warmth = `{ example-warmth }`
near-level-words = full, level, half, empty
near-level = `green is half full`, `when will it be full?`
near-ready-words = ready, done, finished, long
near-ready = `when is it ready?`
near-undo-words = wrong, mistake, undo, correct, delete, change
near-undo = `undo`, `no, 2 not 3`, `I meant blue`
near-quiet-words = stop, message, messages, messaging, text, texting, ping, pings, reminders, notifications, mute, quiet, silent, night, disturb, bother, nag
near-quiet = `quiet from 10 pm to 7 am`, and `skip` to a reminder
near-time-words = remind, later, tomorrow, holiday, away
near-time = `in an hour`, `away until friday`
near-next-words = plan, plans, todo, task, tasks, overview, summary, calendar, schedule
near-next = `how's green?`, `whose turn is it?` or `chart`
near-bin-words = bin, bins, bucket, buckets, name, size, holds
near-bin = `{ example-bin }`
near-acceptable-words = go in, goes in, going in, be put in, allowed, compostable
near-acceptable = `can I put bones in?`
near-scraps-words = added, add, put, scraps, peelings, leftovers, food, waste, litres, litre, kilo, kilos, pounds, cups, kg, l
near-scraps = `{ example-scraps }`
back-amount-scraps = **{ $amount } of what: scraps?** Say `yes`, or what it was.
back-amount-liquid = **{ $amount } of what: liquid drained?** Say `yes`, or what it was.

## Answers

status-none = **No bin here yet.** Tell me one: `{ example-bin }`
status-empty = **{ $bin }: empty.** { $bran } bran at the bottom to start.
status-discarded = **{ $bin }: thrown out, to be washed.** Vinegar, never bleach.
status-filling = **{ $bin }: filling, { $part } of { $whole }.**
status-filling-sizeless = **{ $bin }: filling, { $part } in it.** How big is the bin?
status-sealed = **{ $bin }: sealed, about { $percent } % done.** Ready about { $day } ({ $span }).
status-lost = **{ $bin }: the last check was bad.** Put nothing more into it, and don't use it.
status-bad = **{ $bin }: sealed, but the last check was bad.** Don't use it.
status-ready = **{ $bin }: ready to bury.** Look and smell first.
status-bran = { $bran } bran owed.
status-liquid = About { $liquid } of liquid waiting.
status-stock = Bran in stock: { $amount }.
status-resting-sour = { $plot } rests and was still sour, pH { $ph }; hold a strip in again { $again }.
status-resting = { $plot } rests; plant from { $early }, safe from { $safe }.

ready-when = **{ $bin }: about { $day }, { $span }.** Day { $elapsed } of about { $length }; { $warmth }. Look and smell before you bury it.
ready-mean = it has been { $mean } on average
ready-assumed = taken at { $low } to { $high }, for want of a reading
ready-now = **{ $bin } is ready, by the clock.** Look and smell before you bury it.
ready-bad = **{ $bin } is not to be used:** the last check was bad.
ready-filling = **{ $bin } is still filling.** From sealing it takes about { $days }.
ready-none = **Nothing is fermenting.**
full-when = **{ $bin }: about { $day }** ({ $span }). { $part } of { $whole } now.
full-far = **{ $bin }: not within a year.** { $part } of { $whole } now.
full-unknown = **{ $bin }: too early to say.** { $part } of { $whole } now.
full-sizeless = **I don't know how big { $bin } is.** Tell me: `{ $bin } holds { example-size }`.
full-now = **{ $bin } is full:** bran on top, press, and seal it.
full-none = **Nothing is filling.**
drain-yes = **{ $bin }: yes, about { $liquid } ({ $span }).** With { $water } of water for plants, or down the sink.
drain-wait = **{ $bin }: not yet; { $day } is soon enough.** About { $liquid } by now. None at all is no fault.
drain-wait-today = **{ $bin }: today is soon enough.** About { $liquid } by now. None at all is no fault.
drain-no-tap = **{ $bin } has no tap:** torn cardboard or more bran takes up what is too wet.
drain-none = **Nothing to drain.**
bran-for = **{ $bran } bran for { $amount }** ({ $dose }; the upper end for meat, fish, dairy and cooked food).
bran-owed-answer = **{ $bin }: { $bran } bran owed.**
bran-none-owed = **No bran owed.** { $litre } of scraps takes { $dose }.
bran-of-a-litre = **{ $litre } of scraps takes { $dose } of bran.** No bin here yet. Tell me one: `{ example-bin }`
dilution-for = **{ $water } of water for { $liquid }** (1 to { $parts }): { $cans ->
        [one] one can of { $can }
       *[other] { $cans } cans of { $can }
    }, for about { $area } of soil. Today; weaker is safer, not on leaves or seedlings. Or down the sink, never where bleach has been.
dilution-too-strong = 1 to { $asked } is too strong: 1 to { $parts } at least.
dilution-rule-at = **{ $parts } parts of water to one:** { $small } for { $unit }. Today, on soil, not on leaves or seedlings.
burying-lost = **{ $bin } is lost to mould or rot:** at least { $deep } deep, away from what you'll soon plant; or into the rubbish.
burying-trench = **{ $bin }: { $fermented }, with { $soil } of soil.** A trench { $depth } deep, { $width } wide, { $length } long; { $cover } of soil on top, and about { $spoil } left over.
burying-plot = Best in { $plot }.
burying-plot-exceeded = Best in { $plot }, though it is more than its nitrogen for a year: over more ground, if you can.
burying-no-plot-room = { $plot } has had its nitrogen for this year; a new place would be better.
burying-care = Not in frozen or soaked soil, nor near a well. Know where cables and pipes run before you dig; gloves, and wash your hands.
burying-care-hands = Gloves, and wash your hands; out of reach of pets. Look and smell first: what is mouldy or rotten stays out.
burying-container = **{ $bin }: { $fermented }, with { $soil } of soil, in a box of { $size } or more.** Mix, soil on top, lid on against flies but not airtight; in two to four weeks it is earth for pots. More where it is cold.
burying-pot = **{ $bin }: { $fermented } with { $soil } of soil,** one part to two, in the lower half of the pot or the raised bed, { $cover } of plain soil on top. Two weeks of rest at { $warmth } before roots may reach it, more where it is colder; seedlings last.
burying-far-gone = **{ $bin } is too far gone to be buried:** into the rubbish in a closed bag, and wash the bin with vinegar, never with bleach.
burying-compost = **{ $bin }: { $fermented } with about { $compost } of finished compost** ({ $span }), layered and covered, in the middle of the heap. It is sour: let it rest as long as in soil before planting.
acid-soil = **pH { $ph }: sour no more.** You may plant in { $place }, whatever the calendar says; seedlings last.
acid-soil-sour = **pH { $ph }: { $place } is still sour.** Wait a week and try again: most plants want { $low } to { $high }, and the strip counts for more than the calendar.
acid-soil-place = the soil
acid-bin-sour = **pH { $ph }: sour, as it should be.** There { $percent } % of the lactic acid is undissociated, which is what keeps rot down; the liquid is usually about { $usual }. Look and smell all the same.
acid-bin-between = **pH { $ph }: on the way.** Sealed scraps come to { $sour } to { $until }, but fresh ones may be at { $raw } already: look and smell, and try again in some days.
acid-bin-not = **pH { $ph }: not sour.** Fresh scraps are so, fermented ones at { $sour } to { $until }. Bran on it, press it down, lid tight; where it smells rotten, tell me what you see.
burying-none = **Nothing to bury yet.**
planting-when = **{ $plot }: from { $early }, safe from { $safe }.** It has rested { $rested }. Seedlings last. A pH strip at 6 to 7 settles it.
planting-just = **{ $plot }: from { $early }, safe from { $safe }.** It has only just been buried. Seedlings last. A pH strip at 6 to 7 settles it.
planting-assumed = The soil is taken as { $soil } now, by the season, for want of a reading.
planting-now = **{ $plot }: yes.** It has rested { $rested }. Seedlings last; a pH strip at 6 to 7 settles it.
planting-sour = **{ $plot }: not yet; hold a strip in again { $again }.** It showed pH { $ph } { $day }, still sour: at { $low } to { $high }, plant.
planting-free-by-strip = **{ $plot }: yes.** The strip showed pH { $ph } { $day }: sour no more. Seedlings last.
planting-frozen = **{ $plot }: not in frozen ground.** Nothing counts down until it thaws.
planting-free = **{ $plot }: nothing is buried there.** Plant when you like.
planting-none = **No bed here yet.** Tell me one: `new bed south, { example-bed-size }`.
bins-unknown = **Too early to say.** Tell me how big the bins are and what goes in.
bins-needed = **{ $needed ->
        [one] One bin is
       *[other] { $needed } bins are
    } what you need.**
bins-needed-about = **About { $needed } bins are what you need** ({ $low } to { $high }).
bins-round = At your rate a bin fills in about { $filling }, and ferments about { $fermenting }.
bins-chance = With { $bins ->
        [one] the one you have
       *[other] the { $bins } you have
    }, all are full at once within a month { $chance }.
bins-what-if = **{ $count ->
        [one] Another bin
       *[other] { $count } more bins
    } of { $size }: all full at once within a month { $chance }** (now { $before }). That makes { $bins }, where you need { $needed }.
chance-hardly = hardly ever
chance-surely = almost surely
chance-about = in about { $percent } % of cases
ground-unknown = **Too early to say what a year takes:** it needs four weeks of logs.
ground-yearly = **About { $area } of ground for what a year brings** ({ $areas }): { $nitrogen } of nitrogen ({ $span }), at the yardstick of { $yardstick } a year (farm law for manure, no rule for gardens).
ground-yardstick = The yardstick is { $yardstick } a year: farm law for manure, no rule for gardens.
ground-plot = { $plot }: { $load } in twelve months, room for { $left } more.
ground-plot-enough = { $plot }: { $load } in twelve months, enough for now.
ground-plot-sizeless = { $plot }: tell me its size (`{ example-bed-size }`), and I count what it has had.
stock-is = **{ $amount } of bran.**
stock-unknown = **I don't know.** Tell me what is left: `{ example-bran-left }`.
stock-lasts = At { $rate } a day it lasts until about { $day } ({ $span }).
stock-lasts-long = At { $rate } a day it lasts for months: until { $early } at least.
stock-reorder = Start new bran when { $amount } is left: it takes { $lead }.
stock-reorder-now = Start new bran now: it takes { $lead }, so the time for it is when { $amount } is left.
stock-brewing = { $amount } more is ready on { $day }.
recipe-for = **For { $bran } of bran: about { $liquids } of liquid in all.** { $inoculant } microbial inoculant and { $molasses } molasses in { $water } of water without chlorine: rain water, or through a carbon filter. Chlorine goes off in an open bucket in a day or more, chloramine doesn't.
recipe-how = Pour it in slowly until a squeezed handful holds and does not drip. The customary { $litres } for { $kilo } is too wet: { $wet } % water, where { $right } % is right. Seal it two weeks, then dry it.
rota-turn = **It's { $name }'s turn.**
rota-due = **{ $name }: { $work }.**
rota-next = Next in line: { $name }.
rota-not-yours = **It isn't your turn:** { $name } is next.
turn-offered = **Who takes { $name }'s turn: { $work }?** Say `I'll take it`.
turn-offered-next = **Who takes { $name }'s next turn?** Say `I'll take it`.
turn-taken = **{ $name } takes { $of }'s turn:** { $work }. Thank you.
turn-taken-next = **{ $name } takes { $of }'s next turn.** Thank you.
turn-taken-work = **{ $name } takes it:** { $work }. Thank you.
who-did-none = **Nobody has told me of any work in that time.**
who-did-head = **{ $span }:**
who-did-line = { $name }: { $work }
did-buried = { $count ->
    [one] one batch buried
   *[other] { $count } batches buried
}
did-thrown-out = { $count ->
    [one] one batch thrown out
   *[other] { $count } batches thrown out
}
did-made-bran = { $count ->
    [one] bran made
   *[other] bran made { $count } times
}
did-washed = { $count ->
    [one] one bin washed
   *[other] { $count } bins washed
}
did-sealed = { $count ->
    [one] one bin sealed
   *[other] { $count } bins sealed
}
did-drained = { $count ->
    [one] drained once
   *[other] drained { $count } times
}
did-checked = { $count ->
    [one] looked in once
   *[other] looked in { $count } times
}
did-scraps = { $amount } of scraps put in
rota-none = **Nobody is here to take a turn.**
tally-all = **About { $mass } kept out of the rubbish** ({ $span }). { $batches ->
        [0] No batch buried yet.
        [one] One batch buried.
       *[other] { $batches } batches buried.
    }
emissions-up-to = **Up to about { $saved } of CO2e,** for about { $mass } kept out of a landfill, as if composted: { $disposed } less { $composted } kg a kilo (US EPA, Emission Factors Hub 2026, Table 9). Where rubbish is burnt ({ $burnt } kg a kilo), nothing. Nobody has measured fermenting at home, and not wasting food saves far more.
tally-earth = With the soil mixed in that makes about { $earth } of earth.
tally-drained = { $drained } of liquid, { $bran } of bran.
history-none = **Nothing was logged in the last week.**
history-head = **The last week:**
own-data-head = **Of you I keep your name here ({ $name }), and what you told me: { $logs ->
    [0] nothing yet.**
    [one] one log.**
    *[other] { $logs } logs.** The last of them:
}
own-data-none = **Of you I keep nothing here.**
own-data-more = Whoever runs me can give you all of it as a file. To be forgotten: `forget me`.
forgotten = **You are forgotten.** { $logs ->
    [0] Of logs there were none.
    [one] Your one log stays, without your name.
    *[other] Your { $logs } logs stay, without your name.
} What you tell me from now on carries your name again, while you are in this room.
history-line-by = { $moment }, { $name }: { $brief }
history-line = { $moment }: { $brief }
acceptable-unknown = **{ $item }: I don't know.** Any food may go in, cut small and with bran; no big bones, no liquids, nothing that is not food.
acceptable-all = **In:** food scraps, raw or cooked, cut small: fruit, vegetables, bread, rice, coffee, tea leaves, eggshells; meat, fish and dairy with more bran. **Not in:** big bones, liquids, oil, plastics (compostable ones too), pet waste, medicines, mouldy food.
acceptable-all-meatless = **In:** fruit, vegetables, bread, rice, coffee, tea leaves, eggshells, raw or cooked, cut small. **Not in:** meat, fish and dairy (so this house has it), big bones, liquids, oil, plastics (compostable ones too), pet waste, medicines, mouldy food.
acceptable-rules = Your building's and your council's rules come first.
food-not-here = **Not here:** this house takes no meat, fish or dairy.
food-cooked-meatless = **Yes, if there is no meat, fish or dairy in it.** Let it cool, drain it, and give it more bran.
food-plain = **Yes.** Cut it small and press it down.
food-grounds = **Yes**, grounds and leaves as they come; no tea bags or pods with plastic in them.
food-dry = **Yes.** It takes up what is wet.
food-citrus = **Yes**, in moderation: it is sour already.
food-extra = **Yes**, with more bran: { $bran } for { $litre }.
food-rich = **Yes, cut small**, with more bran: { $bran } for { $litre }. Fresh, not gone off.
food-bone = **Small ones, yes**, with more bran ({ $bran } for { $litre }). Big ones won't break down.
food-oil = **A little, soaked into bread or paper.** Much oil keeps the bacteria off; it must not go down the drain either.
food-liquid = **No.** Drain it off first: soup, milk and juice make it rot.
food-garden = **Wilted flowers, yes.** For leaves and cuttings a compost heap is the better place.
thing-soup = **Drain it first.** What is solid may go in, with more bran; the liquid makes it rot.
thing-soup-words = soup, broth, gravy, stew, sauce
thing-medicine = **No.** Medicines go back to the pharmacy.
thing-medicine-words = medicine, tablet, pill, drug, antibiotic, insulin
thing-pet-waste = **No.** Droppings and nappies carry germs and parasites that fermenting does not kill: into the rubbish.
thing-pet-waste-words = pet waste, litter, dog poo, cat poo, droppings, faeces, feces, poop, nappy, nappies, diaper
thing-carcass = **No.** Dead animals carry germs that fermenting does not kill: ask your council.
thing-carcass-words = dead, carcass, roadkill, dead animal
thing-hazard = **No.** That is hazardous waste: to the collection point.
thing-hazard-words = battery, batteries, paint, varnish, solvent, chemical, pesticide, weedkiller, engine oil, motor oil, light bulb
thing-sweepings = **No.** It is no food, and the bacteria leave it as it is: into the rubbish.
thing-sweepings-words = cigarette, cigarette butt, cigarette end, vacuum, vacuum cleaner, vacuum bag, dust, hair, fur, lint, cork, wood, toothpick, skewer, string, cloth, rag, sponge, chewing gum, candle, wax
thing-eggshell = **Yes**, crushed: they stay as they are, and the soil takes them.
thing-eggshell-words = eggshell, egg shell
thing-bioplastic = **No, not the "compostable" bags and cups either:** they want the heat of a large plant.
thing-bioplastic-words = compostable, biodegradable, bioplastic, pla cup, bio bag
thing-plastic = **No.** Nothing of plastic, metal or glass; take stickers and tea bags' strings off.
thing-plastic-words = plastic, coffee capsule, coffee pod, foil, metal, glass, sticker, rubber, wrapper, film, styrofoam, polystyrene, tea bag string, nylon
thing-mouldy = **A little white mould, yes. Green, blue or black: no**, or it takes over. Don't sniff it; into the rubbish.
thing-mouldy-words = mould, mold, mouldy, moldy, gone off, rotten
thing-paper = **A little, torn, yes:** kitchen paper or card without print takes up what is wet.
thing-paper-words = paper, newspaper, kitchen roll, napkin, tissue, cardboard, card, egg box, egg carton, towel
thing-ash = **No.** Ash is alkaline and stops the souring.
thing-ash-words = ash, lime, chalk, charcoal
thing-cleaner = **No.** Cleaners kill the bacteria; bleach gives off chlorine gas with what is sour.
thing-cleaner-words = bleach, cleaner, detergent, soap, disinfectant
thing-shell = **They may, but they stay whole.** Crush shells, or give them to the soil.
thing-shell-words = mussel, oyster, clam, shell, avocado stone, peach stone, pit
why-none = **About which number?** Ask right after I said one: `why?`
why-formula = **Worked out as:** { $formula }.
why-term = { $name }: { $value } ({ $origin })
why-narrows = Nearer with: { $what }.
why-told = { $count ->
    [one] from one log, { $days }
   *[other] from { $count } logs, { $days }
}
why-learnt = { $count ->
    [one] learnt here from one log; before that: { $prior }
   *[other] learnt here from { $count } logs; before that: { $prior }
}
why-as-told = as you told me
why-derived = worked out
why-asked = as you asked
why-clock = by the clock
why-practice = common practice, no source
why-memory = { $source }, from memory
why-judgement = our judgement: { $reason }
why-days = { $count } days
why-a-day = { $amount } a day
why-name-away = while nobody is there
why-name-dispersion = how uneven the lots are
why-name-doubt = doubt about that rate
why-name-again = after which it is held in again
why-name-sour = pH that sealed scraps come to
why-name-brewing = sealed to ferment
why-name-elapsed = since then
why-name-custom = by custom
why-name-calendar = rest by the calendar
why-name-measured = the strip was held in after
why-name-ph = pH
why-name-soil = pH that most plants grow in
why-name-passed = share of today that is over
why-name-start = day of the week, from Monday on
why-name-seed = number of the simulation
why-name-done-at = where batches are done, by that clock
narrows-temperature = a temperature now and then
narrows-level = a word how full it is
narrows-drains = telling what you drain
narrows-weights = weighing a few lots
narrows-foods = telling what the scraps are
narrows-more-weeks = a few more weeks of logs
narrows-stock = a look at the stock of bran
narrows-soil-temperature = the temperature of the soil
narrows-ph-strip = a pH strip
narrows-check = a look and a smell
narrows-capacity = the size of the bin
narrows-area = the size of the bed

# What a question may be made of: what is asked, of what thing, and what is said of it.

inquiry-how-much-words = how much, how many, how big, how large, what size, ratio, what volume, what quantity, what amount, what length, how wide, how deep, how long a, number of, amount of
inquiry-how-long-words = how long, how soon, when, how many days, how many weeks, how many months, what day, which day, what date, how much time, how much longer, by when, what time
inquiry-spread-words = how far, cover, covers, reach
inquiry-how-far-words = how far, halfway, half way, how far along, per cent, percent, %, percentage, progress, stage, how close, nearly there
inquiry-how-wet-words = how wet, how moist, how damp, how dry, too wet, too dry, wet enough, dry enough
inquiry-how-to-words = how do i, how do we, how to, how can i, how can we, what do i, what do we, how do people, how does one, how should i, how should we, how would i, how would we, how do you
inquiry-which-words = which, where, what
inquiry-lead-words = for, and, so, but, well, ok, okay, hi, hey, please, in, with, then
inquiry-glued-words = whats, hows, wheres, whens
inquiry-begin-words = how, what, which, is, are, am, do, does, did, has, have, was, can, could, may, might, will, would, should, must
inquiry-if-words = what if, suppose, supposing, imagine, say we, say i, if we, if i, if there was, if there were, happens if, with another, let s say
inquiry-would-words = would, does, worth, what difference, make a difference
inquiry-might-words = could, might, may
inquiry-may-words = could, can, may, might, would, will, should, ok, okay, alright, possible, allowed
inquiry-chance-words = chance, chances, odds, how likely, likelihood, probability, risk, likely, probable, how probable, how often, danger
inquiry-wonder-words = wonder, wondering, curious, not sure, unsure, any idea, tell me, like to know
inquiry-reason-words = basis, based, basing, reckon, figure, calculate, calculated, work that out, arrive at that, get to that, get that, know that, do you know, sure are you, sure about that
inquiry-bin-words = bin, bins, bucket, buckets, barrel, barrels, drum, drums, pail, pails
inquiry-bins-words = bins, buckets, barrels, drums, pails
inquiry-bran-words = bran, starter, bokashi bran
inquiry-can-words = cans, watering can, watering cans, canfuls
inquiry-compost-words = compost, composter, compost heap, compost pile, heap
inquiry-container-words = container, box, tub, crate, tote
inquiry-tea-words = tea, juice, liquid, leachate
inquiry-trench-words = trench, hole, pit
inquiry-feed-words = feed, fertiliser, fertilizer
inquiry-full-words = full, filled, fill, fill up
inquiry-emissions-words = co2, co2e, co₂, co₂e, carbon, emission, emissions, greenhouse, climate, planet, environment
inquiry-ground-words = ground, garden, yard, land, bed, beds, plot, plots, patch, border, allotment, area, square metres, square meters, square feet, m², m2
inquiry-nitrogen-words = nitrogen
inquiry-flat-words = a flat, the flat, my flat, our flat, apartment, balcony, indoors, flats, apartments, outdoor space, outside space
inquiry-without-words = no, not, without, haven t, have not, don t, out of, nowhere
inquiry-pot-words = pot, pots, planter, planters, raised bed, raised beds, flower pot, window box, potted
inquiry-soil-words = soil, earth, dirt, topsoil
inquiry-wanted-words = if, should, ought, want, wants, aim, aiming, target, goal, ideal, ideally, needs, need, must, until, till, once, will, would, supposed, hope, hopefully, prefer, prefers, doesn t, didn t, isn t, wasn t, not
strip-as-degrees = 12 degrees
inquiry-ph-words = ph, litmus
inquiry-strip-words = ph, strip, ph strip, test strip, litmus
inquiry-water-words = water, liquid, molasses, inoculant, moisture
inquiry-year-words = a year, per year, yearly, year, our scraps, all our
inquiry-all-words = all, both, every, each, everything
inquiry-bury-words = bury, buried, burying, dig, put it
inquiry-deep-words = deep, depth, down
inquiry-enough-words = enough, suffice, manage, cope, get by, had its fill, full up, too much, sufficient, adequate, too small, too little, too few, overloaded, overdone
inquiry-ferment-words = ferment, ferments, fermenting, sealed, dry, drying
inquiry-had-words = had, got, get, gets, gone, taken, received, given, load, loaded, overloaded, overdone
inquiry-last-words = last, lasts, last us, do us, see us, run out, runs out, hold out, use up, finished, gone, tight, low, used up, left, remaining, hold, runs low, be out, out of bran
inquiry-left-over-words = left over, leftover, to spare, spare, surplus, too much, doesn t fit, don t fit, remains, remaining, is left, over
inquiry-made-words = made, kept, saved, produced, make, making
inquiry-make-words = make, making, made, mix, mixing, brew, brewing, start, prepare, order, buy, stock up
inquiry-mix-words = mix, mixed, blend, add, goes with, go with, to go with, ratio, proportion, half and half
inquiry-more-words = another, more, extra, further, additional, third, fourth, one more, second
inquiry-need-words = need, needed, needs, want, should, require, required, take, takes, use, suit, buy, must, advise, recommend, suggest, sensible, ideal, reasonable
inquiry-next-words = next, new, least, most, best, now
inquiry-room-words = room, space, take, takes, fit, fits, more, capacity
inquiry-short-words = short, short of, too few, run out
inquiry-soon-words = time, soon, already, have to, due, need to
inquiry-stuck-words = stuck, nowhere to put, nowhere to go
inquiry-weaker-words = weaker, milder, gentler, thinner, more dilute, too strong, seems strong, half as strong, less strong, half strength, less strong, lighter, softer
inquiry-wide-words = wide, width, spade, across
ratio-of-word = of
ratio-one-words = 1, one, 1 part, one part
ratio-to-words = :, to, in

# The formulas in words. Those that are not here are shown as they stand in the model.

why-ferment-ready = **About 14 days at { $indoors }, more when colder:** each day counts as much as the bacteria grow at its temperature (cardinal temperatures, Rosso 1993, for L. plantarum, Matejčeková 2019), damped by us, never under 10 nor over 28 days.
why-ferment-progress = **Each day counts as much as the bacteria grow at its temperature,** damped by us; 14 days at { $indoors } make one.
why-fill-occupied = **What went in, times the share it settles to when pressed,** or the level you told and what went in since.
why-fill-full = **The fill line is nine tenths of the bin;** what is still free, at the rate you fill it.
why-liquid-customary = **So much liquid for so much of scraps** since the last drain.
why-liquid-learnt = **So much liquid for so much of scraps,** as your own drains have shown, let go over days.
why-bran-top = **A layer for the top, and what is owed besides.**
why-bran-owed = **A dose for { $litre } of scraps and a first layer,** the upper end for meat, fish, dairy and cooked food, less what you put on.
why-bran-dose = **A dose for { $litre } of scraps,** the upper end for meat, fish, dairy and cooked food, and a first layer in an empty bin.
why-dilution-water = **Parts of water to one of liquid:** custom has a hundred, some pages two or three hundred. Weaker is safer.
why-bury-length = **Half fermented scraps, half soil,** laid in a trench of that width and depth under the cover.
why-turns = **Whoever has done least is next.** Draining counts { $drain } minutes, sealing { $seal }, burying { $bury } (our judgement); who is away owes nothing, and some are kept for burying. To see it all: `who did what this month?`
why-constant = **A number of the trade, not of your bins.**
why-elapsed = **Counted from your last log.**
why-acid-undissociated = **Of a weak acid half is dissociated where the pH is its pKa,** and ten times less of it stays whole for each step above.
why-rest-over = **14 to 21 days at { $outdoors } in the soil, twice as long for each { $colder } colder** (soil life, Q10 of 2), within 14 to 60 days.
why-rest-strip = **A pH strip beats the calendar:** where most plants would grow (pH 6 and more) the rest is over, where it is sourer it goes on until a strip is held in again.
why-starter-out = **What is left, at the rate you use it.**
why-starter-water = **As much water as brings the bran to 40 %:** about { $liquids } of liquid in all to { $kilo }.
why-starter-moisture = **The customary recipe by the same sum: 63 % of it would be water.** Bran's own water, { $customary } of liquids to { $kilo } and what the molasses holds, over all of it.
why-nitrogen-area = **The nitrogen of what you put in, brought to a year, over what ground may have in a year.**
why-rotation-bins = **One bin fills while the others ferment and are emptied:** the days of all three over the days of filling, rounded up.
why-rotation-all-full = **Four hundred months played through** from where the bins stand: scraps come at your rate, unevenly, and batches ferment by the clock, some longer. Counted are those in which scraps find no bin.
why-tally-co2e = **What a kilo gives off in a landfill, less what it gives off composted, times what you kept out.** For fermenting at home there is no published factor.
why-bury-soil = **So many parts of soil to one of fermented scraps.**
why-starter-stock = **What you counted last, less what you used since:** a count may be off, and spoons are heaped or level.
why-bury-container = **One part of fermented scraps, two of soil.**
why-bury-compost = **One part of fermented scraps, two of finished compost:** custom has one to four.
why-nitrogen-load = **The nitrogen of what was buried there in twelve months, over the size of the bed.**
why-tally-kept-out = **What you weighed, and the volume of the rest times { $density },** until your own weights tell better.

## Nudges

nudge-turn = { $name }:
nudge-drain = **Drain { $bin }: about { $liquid } ({ $span }).** With { $water } of water for the beds today, or down the sink.
nudge-bran = **{ $bin } still wants { $bran } bran** for what went in.
nudge-full = **{ $bin } will be full about { $day }** ({ $span }).
nudge-full-next = Get { $next } ready, with { $bran } of bran for its first layer.
nudge-full-wash = Get the next bin ready, with { $bran } of bran for its first layer.
nudge-seal = **{ $bin } is full: seal it.** { $bran } bran on top, press it down, lid tight, a tenth of the height free.
nudge-check = **Look at { $bin }: it is about { $percent } % done.** White fuzz and a sour smell are right. Green, black or rotten are not: then don't sniff, close it and tell me.
nudge-check-lost = **Is the lost batch out of { $bin }?** Tell me: `threw { $bin } away`, or `buried { $bin }`. Wash the bin with vinegar then, never with bleach. Until it is gone: lid on, nobody sniffs it.
nudge-bury = **{ $bin } is ready to bury.** { $fermented }, with { $soil } of soil: a trench { $depth } deep, { $width } wide, { $length } long, { $cover } of soil on top.
nudge-bury-care = Look and smell first. Not in frozen or soaked ground; know where cables and pipes run; gloves on.
nudge-plant-sour = **Hold a strip into { $plot } again:** it showed pH { $ph }, still sour. At { $low } to { $high }, plant; seedlings last.
nudge-plant-strip = **pH { $ph } in { $plot }: sour no more.** Plant from now on; seedlings last.
nudge-plant = **{ $plot } has rested { $rested }.** Plant from now on; seedlings last. A pH strip at 6 to 7 settles it.
nudge-starter = **Bran until about { $day }** ({ $span }). A new lot needs two weeks, and days to dry: start { $bran } of wheat bran today.
nudge-starter-early = **Bran until about { $day }**, perhaps only until { $early }. A new lot needs two weeks, and days to dry: start { $bran } of wheat bran today.
nudge-starter-recipe = About { $liquids } of liquid goes on it in all ({ $inoculant } microbial inoculant, { $molasses } molasses, the rest water without chlorine), poured slowly until a squeezed handful holds and doesn't drip.
nudge-idle = **Nothing logged for { $days }.** Still filling? Tell me what went in since, or `away until friday`.
nudge-idle-shared = **Nothing logged for { $days }.** Still filling? Tell me what went in since.
nudge-digest = **This week: about { $mass } kept out of the rubbish,** { $scraps } of scraps in, { $liquid } out.
nudge-digest-liquid = { $drained } of liquid
nudge-digest-dry = no liquid
nudge-digest-nothing = **This week: nothing in, nothing out.**
nudge-digest-out = **This week: { $liquid } out,** and no scraps in.
nudge-digest-open = Still to do: { $work }.

## Pictures

months-short = Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec
picture-bins = The bins on { $day }
picture-bins-none = No bin here yet
# In pictures, where the font has no letters for a name.
picture-bin-nameless = Bin { $number }
picture-plot-nameless = Bed { $number }
picture-bin = { $bin }: { $state }.
picture-batch = { $bin }, batch { $number }
picture-batch-none = { $bin }: no batch yet
picture-year = The year to { $day }
picture-more = and { $count } more
picture-none = none
picture-about = about { $amount }
picture-nothing-yet = nothing yet
picture-no-plots = no bed here yet
phase-empty = empty
phase-filling = filling
phase-sealed = fermenting
phase-ready = ready to bury
phase-discarded = thrown out
picture-level = { $part } of { $whole }
picture-level-sizeless = { $part } in it, size not told
picture-level-sealed = { $level }, about { $percent } % fermented
picture-empty = bran at the bottom, then scraps
picture-discarded = wash it with vinegar, never bleach
picture-full = full about { $day } ({ $span })
picture-full-now = at the fill line: seal it
picture-size-please = tell me how big it is
picture-full-unknown = too early to say when it is full
picture-ready = ready about { $day } ({ $span })
picture-ready-now = look and smell before you bury it
picture-bad = the last check was bad: don't use it
batch-filling = filling since { $day }
batch-sealed = sealed { $day }
batch-buried = begun { $from }, buried { $to }
batch-discarded = begun { $from }, thrown out { $to }
mark-sealed = sealed
mark-end = end
mark-full = full
mark-ready = ready
panel-scraps = Scraps in: { $total }
panel-bran = Bran: { $total }
panel-drained = Liquid drained: { $total }
panel-temperature = Temperature: { $span }
panel-temperature-mean = Temperature: { $span }, mean { $mean }
panel-temperature-assumed = Temperature: no reading, taken as { $assumed }
panel-temperature-none = Temperature: no reading
panel-progress = Fermented, by the clock: { $percent } %
panel-full = Will be full
panel-kept-out = Kept out of the rubbish: { $total }
panel-soil = Dug in to become soil: { $total }
panel-nitrogen = Nitrogen by bed, last twelve months
plot-enough = { $load }: enough for now
plot-yardstick = enough for a year: { $load }
picture-plot-sizeless = size not told
label-title = Bokashi bin
label-title-bins = Bokashi: { $bins }
label-scan = Scan to join the room
label-in-head = Goes in
label-in = Food scraps, raw or cooked, in small pieces: fruit, vegetables, bread, rice, coffee, tea leaves, eggshells.
label-meat = Meat, fish and dairy too, with more bran.
label-no-meat = Meat, fish and dairy.
label-meat-unknown = Meat, fish and dairy: ask the room first.
label-out-head = Stays out
label-out = Big bones, liquids, oil, plastics (compostable ones too), pet waste, medicines, mouldy food.
label-how-head = Each time
label-press = Scraps in; press them down.
label-bran = Bran on top: { $low } for { $unit } of raw scraps, { $high } for cooked.
label-close = Lid on, airtight.
label-text = Text the room what you did, for instance:
label-examples-metric =
    added 2 litres to { $bin }
    2 tbsp bran on { $bin }
    drained 150 ml from { $bin }
    { $bin } smells sour, white fuzz
label-examples-us =
    added 2 quarts to { $bin }
    2 tbsp bran on { $bin }
    drained half a cup from { $bin }
    { $bin } smells sour, white fuzz
label-examples-imperial =
    added 3 pints to { $bin }
    2 tbsp bran on { $bin }
    drained 5 fl oz from { $bin }
    { $bin } smells sour, white fuzz
label-care-head = Take care
label-care = Green, blue or black mould, or a rotten smell: don't sniff, lid on, tell the room; with asthma or a weak immune system let somebody else open it. Never bleach: with vinegar or the bin's liquid it gives off chlorine gas. A bulging lid: open it slowly, face turned away. Wash your hands. Local rules come first.
