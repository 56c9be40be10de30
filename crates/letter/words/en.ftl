# Every word that a letter, a sheet or a note prints, in English.
#
# Another language is a copy of this file with other words behind the same keys, and one line in
# `src/words/mod.rs`. Texts of the form and the knowledge folder are kept there; their translations stand in the
# other files under `ask-`, `choice-`, `section-`, `measure-`, `landmark-`, `rung-`, `flag-` and `said-` keys,
# each with the text that was translated as its attribute `.en`.

## The language itself

language-name = English
decimal-mark = .
date = { $day } { $month } { $year }
month-1 = January
month-2 = February
month-3 = March
month-4 = April
month-5 = May
month-6 = June
month-7 = July
month-8 = August
month-9 = September
month-10 = October
month-11 = November
month-12 = December
list = { $head } { $and } { $last }
list-comma = {", "}
list-and = and
list-or = or
quoted = “{ $words }”
labelled = { $label }: { $value }
aside = { $what } ({ $aside })
span = { $low } to { $high }
about = about { $value }
measured-on = { $on ->
    [print] measured on a print
    [pressure] measured on a grid of pressures
    [photograph] measured on a photograph
    [clip] measured on a clip
    [markers] measured on a marker file
   *[other] measured
}
measured-chance = { $answer }, probability { $percent } %
measured-alone = { $value } ({ $how })
measured-within = { $value }, { $how }
overruled-number = measured { $value }; the clinician's value is used
overruled-choice = measured: { $value }; the clinician's answer is used
yes = yes

## Sides, views, units

side = { $side ->
    [left] left
   *[right] right
}
foot = { $side ->
    [left] left foot
   *[right] right foot
}
of-foot = { $foot }. { $said }
view-lateral = lateral foot
view-dorsoplantar = dorsoplantar foot
view-hindfoot = hindfoot alignment
view-ankle = ankle from the front
stance-standing = taken standing
stance-not = not taken standing
stance-unknown = standing or not: unknown
unit-deg = { $value }°
unit-ratio = { $value }
unit-grade = grade { $value }
unit-of-10 = { $value } of 10
unit-of-5 = { $value } of 5
unit-of-4 = { $value } of 4
unit-mm = { $value } mm
unit-cm = { $value } cm
unit-kg = { $value } kg
unit-c = { $value } °C
unit-toes = { $value } { $value ->
    [one] toe
   *[other] toes
}
unit-rises = { $value } { $value ->
    [one] rise
   *[other] rises
}
unit-hours = { $value } { $value ->
    [one] hour
   *[other] hours
}
unit-weeks = { $value } { $value ->
    [one] week
   *[other] weeks
}
unit-years = { $value } { $value ->
    [one] year
   *[other] years
}
unit-injections = { $value } { $value ->
    [one] injection
   *[other] injections
}
unit-other = { $value } { $unit }
points = { $value } points

## Every paper

not-recorded = not recorded
not-looked-at = not looked at
not-measured = not measured
not-computed = not computed
not-known = not known
label-patient = Patient
label-born = Born
label-chart = Chart
label-seen = Seen
label-side = Side
label-view = View
label-stance = Stance
label-film-of = Film of
label-scale = Scale
label-points-by = Points by
page-foot = Not a certified medical device. The clinician decides; local codes and licensed practice come first.
page-of = Page { $page } of { $pages }
draft-mark = DRAFT – not signed
not-signed = Draft, not signed
signed = Signed { $when }
addendum-title = Addendum: { $title }
label-adds-to = Adds to
adds-to = letter signed { $day }, seal { $seal }
clinician-decides = The clinician decides; local codes and licensed practice come first.
demo = Demo: every person and every number here is invented.
telephone = Telephone { $number }
decision-stage = Stage decided on for the { $side ->
    [left] left foot
   *[right] right foot
}: { $stage }.
decision-reason = Reason: { $reason }
decision-worn = Worn on the { $side ->
    [left] left foot
   *[right] right foot
} until the next visit: { $what }
invented-title = Invented data
to-know = To know
to-know-of = To know: { $what }
not-read-title = Not read
not-read = Not read: { $what }

## Films and readings

head-reading = Reading
head-value = Value ± 95 %
head-limits = Against its limits
head-place = Place
head-yardsticks = Yardsticks
no-limits = no limits to draw
place-inside = inside
place-outside = outside
place-straddles = straddles
place-sources-differ = sources differ
place-not-judged = not judged
place-no-yardstick = no yardstick
place-not-compared = not compared
place-above = { $place }, above
place-below = { $place }, below
place-share-outside = { $share } % outside
yardsticks-more = and { $count } more { $marks }
yardstick-above = above { $value }
yardstick-below = below { $value }
yardstick-abnormal = abnormal
yardstick-people = n { $n }
yardstick-not-used = not used: { $why }
reading-of-side = { $reading }, { $side }
film-caption = { $film }, { $stance }. Points and lines as placed.
film-alt = Film, { $view }, { $side }, { $stance }, { $said }.
film-alt-nothing = nothing could be read from it
film-alt-readings = with points and lines drawn on it: { $readings }
film-side = { $side ->
    [left] left side
   *[right] right side
}
film-side-not-recorded = side not recorded
film-nothing-read = Nothing could be read from this film.
caution-not-standing-title = Not taken standing
caution-not-standing = Yardsticks are for standing feet. These readings settle no stage and are not to be compared with those of a standing film.
caution-stance-unknown-title = Not known whether taken standing
caution-stance-unknown = Yardsticks are for standing feet. Until somebody says how the film was taken, these readings settle no stage.
refused-not-placed = not placed: { $points }.
refused-outside = { $points } lies outside the film.
refused-same-spot = { $points } lie on the same spot.
refused-no-scale = no scale for millimetres: { $why }
refused-no-floor = the level of the floor was not placed.
asked-on-film = { $measure } on a standing film

## The reading sheet

title-sheet = Reading sheet: { $film }
sheet-readings-caption = Readings with their 95 % interval, yardsticks for { $person }
person-with-age = { $age } completed years, { $sex ->
    [female] female
    [male] male
   *[unknown] sex not recorded
}
person-without-age = age not recorded, { $sex ->
    [female] female
    [male] male
   *[unknown] sex not recorded
}
sheet-key-alt = Key to the marks: dot, inside; filled diamond, outside; half-filled diamond, the interval straddles a limit; split dot, sources differ; open ring, not judged or no yardstick.
sheet-key-none = not judged, or no yardstick
sheet-key = Shaded band: accepted by the yardsticks that decide; upright stroke: a printed limit; whisker: 95 % interval of the reading. { source-letters }
sheet-no-age = Age not recorded: yardsticks that depend on it were left out.
sheet-use-title = Use
sheet-use-readings = Readings, not a diagnosis: the clinician decides, and a film never decides alone.
sheet-use-error = The error holds placing, scale, turn of the foot and floor; not another day, another film or another reader.
source-letters = r: the text itself was read; a: its abstract only; c: common practice, without a publication; u: unconfirmed, from memory, decides nothing alone.
source-unknown = not in the folder of sources
sources-heading = Sources
sources-letters = The letter behind a source says how much of it was seen. { source-letters }

## The letter to the referring doctor

title-referrer = Collapsing flatfoot: findings, stage, first plan
heading-in-short = In short
heading-story = Story
heading-findings = Findings
heading-films = Films and readings
heading-stage = Stage, with reasons
heading-plan = First plan
heading-record = Record of the visit
short-chosen = Chosen for the { $side ->
    [left] left foot
   *[right] right foot
}: { $steps }.
short-decision = Decision: { $decision }
short-next-visit = Next visit: { $when }
short-of-foot = { $foot }: { $said }.
short-stage = stage { $stage }
short-none-fits = no stage of the failing tendon fits what was found{ $would }
short-not-settled = stage not settled{ $would }
short-not-settled-among = stage not settled, { $stages }{ $would }
short-kind = kind of flat foot: { $kind }
short-light = traffic light: { $light }
short-classes = classes of 2020: { $classes }
films-none = No film was read at this visit.
readings-none = No reading that would decide could be made.
readings-key = ±: half the 95 % interval, from placing, scale, turn and floor. Shaded: accepted by the yardsticks that decide; stroke: a printed limit. r: source read, a: abstract, c: common practice, u: unconfirmed.
readings-caption = Readings that decide{ $more ->
    [0] {""}
   *[other] ; { $more } more in the record
}
before-anything = Before anything is done

## The story

story-none = No story is recorded.
who-without-age = A { $sex ->
    [female] female
   *[male] male
} patient, age not recorded
who-with-age = { $who ->
    [girl] A girl
    [boy] A boy
    [child] A child
    [woman] A woman
    [man] A man
   *[adult] An adult
} of { $age } { $age ->
    [one] year
   *[other] years
}
story-course = It { $parts }.
story-onset-gradual = crept in
story-onset-sudden = began from one day to the next
story-onset-after_injury = began after an injury
story-onset-always = has been there as long as anybody remembers
story-lasted = has lasted { $weeks } { $weeks ->
    [one] week
   *[other] weeks
}
story-course-better = is getting better
story-course-same = is much the same
story-course-worse = is getting worse
story-who-says = { $who }, who says: { $words }
story-says = In their words: { $words }
story-injury = an injury to this foot or ankle came before it
story-no-injury = no injury came before it
story-tried-weeks = { $weeks } { $weeks ->
    [one] week
   *[other] weeks
} of steady treatment so far
story-tried = tried so far: { $words }
story-goal = wants to do again: { $words }
story-answered-yes = Answered yes: { $answers }.
label-other-medicines = Other medicines
label-laxity = Loose joints, of 9 points
label-alarm-questions = Alarm questions
answers-yes = Yes: { $answers }.
answers-no = No: { $answers }.

## Findings in the words of a colleague

brief-none = No finding is recorded.
brief-open = Not looked at: { $asks }.
brief-alike = Both feet alike. { $said }
brief-pain_level = pain { $answer } at its worst this week
brief-pain = pain { $places }
brief-pain-pressed = pain on pressure { $places }
brief-pain-none = none { $places }
brief-at-pain_inner_ankle = behind the inner ankle
brief-at-pain_navicular = at the navicular
brief-at-pain_sole = in the sole
brief-at-pain_outer = at the sinus tarsi
brief-at-pain_under_fibula = under the outer malleolus
brief-at-pain_ankle_joint = in the ankle joint line
brief-at-pain_midfoot_joints = in the joints of the midfoot
brief-swelling_inner = { $answer } swelling along the tendon
brief-swelling_inner-none = no swelling along the tendon
brief-swelling_leg = { $answer } swelling of foot and leg
brief-heel_angle_deg = standing heel angle { $answer }
brief-toes_seen = { $answer } seen from behind
brief-posture = six-item posture total { $total }
brief-forefoot_varus_left_deg = { $answer } of it is left
brief-tmt_gap-yes = the inner column gaps at the sole
brief-ankle_tilt_seen-yes = the ankle itself tilts outwards
brief-deltoid_lax-yes = the deltoid gives way
brief-impinges_sinus_tarsi-yes = pinching at the sinus tarsi
brief-impinges_under_fibula-yes = pinching under the fibula
brief-subtalar_subluxed-yes = the talus slides off the heel bone
brief-lift = ankle lift { $lifts }
brief-both-pulses = both pulses easily felt
brief-filament = 10 g filament felt at { $felt } of { $of }
brief-skin_ulcer-yes = an ulcer or open wound
brief-skin_ulcer-no = no open wound
brief-skin_infection-yes = infected skin
brief-skin_infection-no = no infection of the skin
brief-skin_weeping-yes = weeping eczema
brief-skin_fragile-yes = thin or fragile skin
brief-temperature_difference_c = skin { $answer } against the other foot
brief-heel_line = standing, the heel is { $answer }
brief-arch_standing = arch standing { $answer }
brief-arch_sitting = sitting it { $answer }
brief-arch_on_tiptoe = on tiptoe it { $answer }
brief-navicular_drop_mm = navicular drop { $answer }
brief-heel_rise_single = single heel rise: { $answer }
brief-heel_rise_pain = pain { $answer }
brief-heel_rise_stopped_by = ended by { $answer }
brief-heel_rise_double = double heel rise: { $answer }
brief-first_metatarsal_rise = first metatarsal head { $answer }
brief-heel_corrects = heel to neutral by hand: { $answer }
brief-forefoot_varus_corrects = turned-up forefoot comes down: { $answer }
brief-forefoot_drift_corrects = drift of the forefoot corrects: { $answer }
brief-subtalar_motion = subtalar motion { $answer }
brief-first_ray = first ray { $answer }
brief-ankle_tilt_corrects = ankle tilt corrects by hand: { $answer }
brief-tp_strength = tibialis posterior { $answer }
brief-dorsiflexion_straight_deg = knee straight { $answer }
brief-dorsiflexion_bent_deg = knee bent { $answer }
brief-pulse_dorsal = dorsal pulse { $answer }
brief-pulse_tibial = posterior tibial pulse { $answer }
brief-ankle_brachial_index = ankle-brachial index { $answer }
brief-tendon_image = tendon on ultrasound or MRI: { $answer }
brief-forefoot_drifts_out-yes = the forefoot drifts outwards
brief-forefoot_drifts_out-no = no drift of the forefoot
brief-sides_differ-yes = clearly flatter than the other foot
brief-heel_rise_turns_in-yes = the heel turns in as it rises
brief-heel_rise_turns_in-no = the heel does not turn in as it rises
brief-forefoot_varus-yes = the forefoot is then turned up
brief-forefoot_varus-no = the forefoot then lies flat
brief-coalition_seen-yes = a bridge between bones is seen or suspected
brief-accessory_navicular-yes = an extra bone at the navicular

## Stage and alarm signs

alarm-title = Alarm, { $urgency }{ $on }: { $sign }
alarm-holds-plan = No plan for the { $feet } rests on a stage until this is dealt with.
alarm-still-to-ask = Still to be asked or looked at: { $asks }.
alarm-if-so = If so: { $action } { $marks }
alarm-not-cleared = Not cleared{ $on }: { $sign }
alarm-not-asked = Alarm signs that nobody asked about: { $signs }.
found = Found: { $what }
stage-none = No stage was worked out.
stage-because = Because: { $reasons }.
stage-chances = Chances from the readings’ error alone: { $chances }.
stage-disagree = Answers and readings disagree on: { $criteria }.
stage-more-open = { $count } more open { $count ->
    [one] criterion
   *[other] criteria
} in the record.
label-contradicting = Contradicting
label-still-open = Still open
not-settled = not settled
no-stage = no stage
missing-yes-leaves = a yes leaves { $stages }
missing-no-leaves = a no leaves { $stages }
missing-look-at = { $what } ({ $why }; look at: { $asks })
missing-if-yes = If yes: { $left }.
missing-if-no = If no: { $left }.
none-left = none left
count-left = { $count } left
schemes-caption = { $foot }: stage in each scheme. Chances come from the readings' error only.
head-scheme = Scheme
head-answer = Answer
head-rests-on = Rests on
scheme-open = Open: { $criteria }
class = { $letter } { $words }, { $supple }
class-flexible = flexible
class-rigid = rigid
class-unknown = flexible or rigid not known
class-none = No class is known to be present
criteria-caption = { $foot }: criteria and their reasons
head-criterion = Criterion
head-there = There
head-because = Because
criterion-chance = Chance from the reading's error: { $chance }
criteria-absent = Looked for and not there: { $criteria }.
criteria-missing = { $foot }: what is missing, and what it would change
criteria-more-open = { $count } more open { $count ->
    [one] criterion
   *[other] criteria
} of less weight: { $criteria }.

## Plan

plan-none-chosen = No step of care is recorded as chosen.
head-chosen = Chosen
plan-own-choice = Chosen by the clinician; the ladder did not propose it for this foot.
plan-look-again = Look again { $looks }.
plan-check-first = To check first: { $checks }.
plan-held-back = chosen by the clinician although the ladder holds it back.
plan-why-caption = { $foot }: why these steps, and on what evidence
head-step = Step
head-why = Why, and evidence
plan-not-chosen = { $foot }, also on the ladder and not chosen: { $steps }.
send-back-title = Send back without waiting (common practice; local rules come first)
send-back-emergency = Emergency: a cold, pale or blue foot that hurts at rest; a swollen calf with short breath or chest pain.
send-back-same-day = Same day: a hot, red, swollen foot or fever; a swollen, painful calf; a snap or a sudden loss of the arch; no weight can be taken; a new sore, or numb or blue toes under a support, boot or wrap{ $who ->
    [child] ; a limp with fever; pain that wakes at night
   *[adult] {""}
}.

## The record behind a letter

asked-caption = Asked and answered
head-about = About
examination-caption = Examination; only what was recorded
head-looked-at = Looked at
posture-sum = Sum of six, −12 to +12
every-reading-caption = Every reading: { $film }, { $stance }

## The letter to the patient, or to whoever looks after a child

title-patient = { $who ->
    [child] Your child’s feet: what is going on, and what to do
   *[adult] Your feet: what is going on, and what to do
}
patient-thanks = { $who ->
    [child] Thank you for bringing your child to us.
   *[adult] Thank you for coming to see us.
} This letter tells you what we found and what helps now.
parents-came-with = Your child came with { $who }.
parents-consent = What was agreed: { $consent }
parents-came-parent = A parent came with your child.
parents-came-guardian = A guardian came with your child.
parents-came-other = Somebody else came with your child.
parents-came-alone = Your child came alone.
parents-consent-parent = A parent agreed to what was done and planned.
parents-consent-guardian = A guardian agreed to what was done and planned.
parents-consent-child = Your child was able to decide, and agreed to what was done and planned.
parents-consent-not_yet = Nobody has yet agreed to treatment.
alarm-first = This comes first: { $sign }
alarm-how-soon = How soon: { $urgency }.
alarm-what-to-do = What has to be done: { $action }
heading-going-on = What is going on
your-foot = { $who ->
    [child] your child’s
   *[adult] your
} { $side ->
    [left] left foot
   *[right] right foot
}
both-feet-alike = Both { $who ->
    [child] of your child’s
   *[adult] of your
} feet are alike: { $said }
nothing-written-down = nothing is written down from this visit.
found-no-pain = It did not hurt this week.
found-pain = The pain was { $level } out of 10 at its worst this week.
found-numb = The foot does not feel a light touch everywhere, so it can be hurt without you noticing.
means = What it means: { $meaning }
means-we-think = What we think it is: { $meaning }
means-alarm-first = First comes what stands at the top of this letter. How far the arch has gone is a later question.
means-no-tendon = What we found here does not fit a tendon that is giving way.
means-open = We cannot yet say whether { $who ->
    [child] your child’s
   *[adult] your
} arch has come down here, or how far. We need to look at more first.
plain-stage = { $meaning }. In the trade this is called stage { $stage } of four.
plain-stage-I = The tendon is sore, and the heel is still in line
plain-stage-II = The heel has moved outwards, and it can still be brought back
plain-stage-III = The heel has moved outwards and has become stiff
plain-stage-IV = The ankle joint itself tilts outwards
plain-kind-not-flat = The foot is not flat when standing.
plain-kind-flexible-painless = The foot is flat when standing, its arch comes back, and it does not hurt.
plain-kind-flexible-painful = The foot is flat when standing, its arch comes back, and it hurts.
plain-kind-rigid-painless = The foot is flat when standing and its arch does not come back.
plain-kind-rigid-painful = The foot is flat when standing, its arch does not come back, and it hurts.
sags-caption = What sags in a flat foot. A drawing, not your own foot.
sags-alt = Drawing of two feet from the inner side. In the sound foot the arch stands clear of the floor, and the tendon behind the inner ankle holds it up. In the flat foot the tendon gives way, and the arch has come down to the floor.
sags-sound = An arch that holds
sags-sagging = An arch that sags
sags-tendon = tendon
sags-arch = arch
heading-x-ray = What the X-ray shows
film-caption-plain = { $seen }, { $stance }. The lines are how we measure it.
film-not-standing-plain = It is not known to have been taken standing, so its numbers say little about the arch under load.
film-seen = { $side ->
    [left] left foot
   *[right] right foot
}, { $view }
film-is = This is { $who ->
    [child] your child’s
   *[adult] your
} { $seen }.
film-error-plain = No measurement is perfect. The number behind ± says how far off it may be, 19 times in 20.
plain-view-lateral = from the side
plain-view-dorsoplantar = from above
plain-view-hindfoot = from behind
plain-view-ankle = the ankle from the front
plain-measure-meary_lat = The line along the arch, seen from the side
plain-measure-calc_pitch = The slope of the heel bone
plain-measure-tnca = How far the front of the foot has slid outwards at its main joint
plain-measure-tn_uncov = How much of that joint lies uncovered
plain-measure-t1mt_dp = The line of the first long bone, seen from above
plain-measure-hma = How far the heel stands outside the line of the shin
plain-measure-talar_tilt = The tilt of the ankle joint
plain-measure-nav_height_truncated = The height of the arch for the length of the foot
plain-above-meary_lat = The arch has sunk more than is usual.
plain-below-meary_lat = The arch is higher than is usual.
plain-above-calc_pitch = The heel bone stands steeper than is usual.
plain-below-calc_pitch = The heel bone lies flatter than is usual.
plain-above-tnca = That is further out than is usual.
plain-below-tnca = That is further in than is usual.
plain-above-hma = That is further out than is usual.
plain-below-hma = That is further in than is usual.
plain-inside = That is within what is published as usual.
plain-outside = That is outside what is published as usual.
plain-straddles = That is too close to the limit to say whether it is usual.
plain-sources-differ = Published limits differ: by some it is usual, by others not.
heading-to-do = { $who ->
    [child] What we do now, and what helps at home
   *[adult] What we do now, and what you do at home
}
head-to-do = { $who ->
    [child] What helps
   *[adult] What to do
}
decided = Decided: { $decision }
no-step-decided = No step was decided at this visit. Ask us before you start anything.
stop-and-call-title = Stop and call us
stop-and-call = If a step makes { $who ->
    [child] your child’s foot
   *[adult] the foot
} worse, stop it and call us. Ask before you take any medicine, also one without prescription.
as-talked-about = As we talked about.
find-out-first = Before you start, we still have to find out { $checks }.
plain-check-feeling = whether the foot feels a light touch
plain-check-flow = whether enough blood reaches the foot
plain-check-clot = whether there could be a clot in the leg
plain-check-skin = whether the skin is sound
plain-check-heart = whether there is heart disease
plain-check-paste = whether there is an allergy to the wrap
plain-check-nsaid = which illnesses and other medicines there are
plain-check-tear = whether the tendon is torn
plain-check-corrects = whether the heel can be brought back into line
plain-check-oedema = whether the leg swells
plain-check-hands = whether the hands can manage laces and straps
plain-check-deformity = whether the heel is in line
plain-check-injection = earlier injections, infections and other medicines
plain-check-other = what matters before an operation
heading-next-visit = Your next visit
see-you-again = We see you again: { $when }
look-at-step = { $step } { $when }
look-again-plain = We check how it goes: { $looks }.
no-date = No date is written down. Ask us for one.
heading-warnings = When to call at once
warnings-emergency = Call the emergency number if
warnings-same-day = Call us, or get help the same day, if
warnings-everybody = Everybody gets this list. It does not mean that you have these signs. It is common practice; where local rules say otherwise, follow them.
warning-cold = the foot turns cold, pale or blue and hurts { $who ->
    [child] at rest
   *[adult] while you rest
},
warning-clot-breath = { $who ->
    [child] the calf swells and hurts, and your child is short of breath or the chest hurts.
   *[adult] your calf swells and hurts, and you are short of breath or your chest hurts.
}
warning-hot = the foot or ankle gets hot, red and swollen{ $who ->
    [child] {""}
   *[adult] , or you have a fever
},
warning-calf = { $who ->
    [child] the
   *[adult] your
} calf swells and hurts,
warning-limp-fever = your child limps with a fever, or will not walk,
warning-night-pain = pain wakes your child at night,
warning-snap = { $who ->
    [child] there is
   *[adult] you feel
} a snap in the ankle, or the arch is suddenly gone,
warning-no-weight = you cannot put any weight on the foot,
warning-sore = you find a new sore, blister or wound, above all under an insole, boot or wrap: take it off,
warning-toes = { $who ->
    [child] toes
   *[adult] your toes
} go numb, blue or cold in a boot or wrap: take it off.

## Findings in plain words

found-pain_inner_ankle-itself = It hurts behind or below the inner ankle.
found-pain_inner_ankle-pressed = It hurts behind or below the inner ankle when pressed.
found-pain_inner_ankle-no = The inner ankle does not hurt.
found-pain_outer-itself = It hurts on the outer side.
found-pain_outer-pressed = It hurts on the outer side when pressed.
found-pain_sole-itself = The sole hurts.
found-pain_sole-pressed = The sole hurts when pressed.
found-pain_navicular-itself = It hurts at the bony bump on the inner side.
found-pain_navicular-pressed = It hurts at the bony bump on the inner side when pressed.
found-swelling_inner-none = There is no swelling along the tendon.
found-swelling_inner-slight = There is a little swelling along the tendon.
found-swelling_inner-marked = There is clear swelling along the tendon.
found-heel_line-inwards = Seen from behind, the heel leans inwards.
found-heel_line-usual = Seen from behind, the heel stands as usual.
found-heel_line-slight = Seen from behind, the heel leans outwards a little more than usual.
found-heel_line-clear = Seen from behind, the heel leans clearly outwards.
found-arch_standing-normal = When standing, the arch looks normal.
found-arch_standing-lowered = When standing, the arch is low.
found-arch_standing-flat = When standing, the arch is flat.
found-arch_sitting-appears = When the foot hangs, the arch appears.
found-arch_sitting-stays_flat = When the foot hangs, the arch stays flat.
found-arch_on_tiptoe-appears = On tiptoe the arch appears.
found-arch_on_tiptoe-partly = On tiptoe the arch appears in part.
found-arch_on_tiptoe-stays_flat = On tiptoe the arch stays flat.
found-heel_rise_single-able = Standing on tiptoe on this leg alone works.
found-heel_rise_single-partly = Standing on tiptoe on this leg alone works only in part.
found-heel_rise_single-unable = Standing on tiptoe on this leg alone does not work.
found-heel_corrects-fully = The heel can be brought back into line by hand.
found-heel_corrects-partly = The heel can be brought back into line by hand, but not all the way.
found-heel_corrects-not = The heel cannot be brought back into line by hand.
found-forefoot_drifts_out-yes = The front of the foot drifts outwards.
found-forefoot_drifts_out-no = The front of the foot is in line.
found-tendon_image-sound = On the scan the tendon looks sound.
found-tendon_image-inflamed = On the scan the tendon’s covering is inflamed; no tear was seen.
found-tendon_image-partial_tear = On the scan the tendon is partly torn.
found-tendon_image-full_tear = On the scan the tendon is torn through.
found-pulse_dorsal-strong = The pulse on the back of the foot is easily felt.
found-pulse_dorsal-weak = The pulse on the back of the foot is weak.
found-pulse_dorsal-absent = The pulse on the back of the foot could not be felt.
found-pulse_tibial-strong = The pulse behind the inner ankle is easily felt.
found-pulse_tibial-weak = The pulse behind the inner ankle is weak.
found-pulse_tibial-absent = The pulse behind the inner ankle could not be felt.
found-skin_ulcer-yes = There is an open sore or wound.
found-skin_ulcer-no = There is no open sore.
found-skin_infection-yes = The skin is infected.
found-skin_fragile-yes = The skin is thin.
found-coalition_seen-yes = A bridge between two bones is seen or suspected.

## Steps of care in plain words

step-calm-title = Rest, cool, raise
step-calm-what = Give the sore tendon a rest: shorter walks, no hills, no sport for now.
step-calm-home = Cool it with ice in a cloth for 10 to 15 minutes, a few times a day. Put your leg up when you sit. Do this for 2 to 6 weeks.
step-calm-care = No ice on skin that cannot feel it, or if the blood flow in your leg is poor.
step-wrap-title = Firm wrap
step-wrap-what = We wrap foot and lower leg in a firm bandage to bring the swelling down.
step-wrap-home = Keep it on and dry. We change it after about a week.
step-wrap-care = Check your toes that evening and the next morning. If they turn blue, cold or numb, or hurt more, take it off and call us.
step-boot-title = Walking boot or cast
step-boot-what = A boot or cast keeps the ankle still so that the tendon can calm down.
step-boot-home = Wear it for 4 to 6 weeks, with a lift under the other shoe.
step-boot-care = A boot makes a blood clot a little more likely. Tell us if you ever had one. Look at your skin every day.
step-tablets-title = Pain gel or tablets
step-tablets-what = A gel on the skin comes first. Tablets only if your doctor says they are safe for you.
step-tablets-home = Take the smallest amount for the shortest time, two weeks at most before we look again.
step-tablets-care = Ask your doctor or pharmacist first if you take other medicines or have heart, kidney or stomach trouble.
step-therapy-title = Exercises
step-therapy-what = A therapist shows you how to make the tendon strong again and the calf longer.
step-therapy-home = Turn the foot in against a band, then let it back slowly: 3 rounds of 15, twice a day. Stretch the calf 3 times for 30 seconds, twice a day. It takes about 12 weeks.
step-therapy-care = Some pain is fine, up to 5 of 10, if it is gone the next day. The therapist fits the amounts to you. If the tendon is torn, do not train it before a surgeon has looked.
step-orthosis-title = Made-to-shape insole
step-orthosis-what = An insole with a deep heel cup holds your heel straight from below.
step-orthosis-home = Wear it 1 hour on the first day, then 1 hour more each day, until you wear it almost always when you are on your feet.
step-orthosis-care = Look for red or sore spots every evening. Not on a foot that is numb or over a sore, unless we say so.
step-hinged-afo-title = Ankle brace with a hinge
step-hinged-afo-what = A brace holds the heel straight and still lets the ankle bend.
step-hinged-afo-home = Wear it 1 hour on the first day, then 1 hour more each day, in a roomy, firm shoe.
step-hinged-afo-care = Look at your skin every day. Tell us if the leg swells or the foot is numb.
step-gauntlet-title = Lace-up brace
step-gauntlet-what = A stiff leather brace with laces holds heel and ankle all round.
step-gauntlet-home = Wear it 1 hour on the first day, then 1 hour more each day, in a shoe one size wider.
step-gauntlet-care = Look at your skin every day. Tell us if lacing is hard or the foot is numb.
step-solid-afo-title = Stiff ankle brace
step-solid-afo-what = A brace made to the shape of your foot stops the ankle from moving.
step-solid-afo-home = Wear it 1 hour on the first day, then 1 hour more each day.
step-solid-afo-care = Look at your skin every day. Tell us if you feel less safe on your feet, or if knee or hip give way.
step-footwear-title = Good shoes
step-footwear-what = Shoes with a firm heel, a stiff middle and a wide base, with room for an insole.
step-footwear-home = Wear them for every step outside, and most steps at home.
step-footwear-care = Feel inside for rough spots before you put them on.
step-injection-title = Injection
step-injection-what = One injection beside the tendon or into the sore joint, guided by ultrasound.
step-injection-home = Wear a boot afterwards. We look again after 6 weeks.
step-injection-care = An injection can weaken this tendon, so one is usual and two the most. Skin may turn thin or pale. Sudden loss of strength: call us.
step-surgery-title = Talk to a surgeon
step-surgery-what = We ask a foot and ankle surgeon for an opinion. That does not mean you must have an operation.
step-surgery-home = Bring your X-rays and this letter.
step-surgery-care = Not smoking helps any healing.
step-child-watch-title = Watch and wait
step-child-watch-what = A soft flat foot that does not hurt is common in children. It needs no insole and no treatment.
step-child-watch-home = Let your child run and play as usual.
step-child-watch-care = Come back if it starts to hurt, gets stiff, or only one foot is flat.
step-child-help-title = Stretch, firm shoes, try an insole
step-child-help-what = A calf stretch, firm shoes, and a simple insole to try if it hurts.
step-child-help-home = Stretch 3 times for 30 seconds, twice a day. Insole in the shoes by day. After 3 to 6 months we stop what did not help.
step-child-help-care = An insole eases pain. It does not build an arch.
step-child-refer-title = A closer look
step-child-refer-what = We ask for X-rays taken standing, then for the opinion of a children’s specialist.
step-child-refer-home = Tell us at once if anything gets worse before then.
step-child-refer-care = Do not press a stiff foot into a correcting insole.

## Getting used to a device

title-break-in = Getting used to your { $who ->
    [child] child’s new
   *[adult] new
} { $device ->
    [brace] { $count ->
        [one] brace
       *[other] braces
    }
   *[insole] { $count ->
        [one] insole
       *[other] insoles
    }
}
label-device = Device
break-in-kind = { $kind ->
    [hinged-afo] ankle brace with a hinge (hinged ankle-foot orthosis)
    [solid-afo] stiff ankle brace (solid ankle-foot orthosis)
   *[gauntlet] lace-up brace (gauntlet)
}
break-in-invented = This practice is a demo. Nobody wears this { $device ->
    [brace] brace
   *[insole] insole
}.
break-in-start = { $who ->
    [child] Your child’s
   *[adult] Your
} { $count ->
    [one] foot needs time to get used to the new { $device ->
        [brace] brace
       *[insole] insole
    }. Wear it
   *[other] feet need time to get used to the new { $device ->
        [brace] braces
       *[insole] insoles
    }. Wear them
} a little longer each day. What we told you goes before this sheet.
heading-put-on = How to put it on
put-on-sock = First pull on a smooth sock that reaches above the upper edge of the brace. No folds.
put-on-heel = Push the heel all the way back.
put-on-close = Close the { $kind ->
    [gauntlet] laces
   *[other] straps
} from below, one by one: snug, not tight.
put-on-morning = Does the foot swell? Then put the brace on in the morning, before it swells.
put-on-steps = This brace stops the ankle. Take short steps at first, and hold on to the rail on stairs. Tell us if a step feels unsafe or the knee gives way.
heading-hours = How long each day
break-in-usual = This is the usual way. It comes from practice, not from a study. Go slower if you need to: stay at the same hours for a day or two.
break-in-look = Each time { $who ->
    [child] your child takes
   *[adult] you take
} it off, look at the whole foot, the sole too. Use a mirror or ask for help.
break-in-look-brace = Morning and evening, look at the skin over the inner and the outer ankle bone, at the heel and at the inner arch{ $kind ->
    [solid-afo] , and along the shin
   *[other] {""}
}.
break-in-mark-fades = A red mark that fades within { $minutes } minutes is usual.
break-in-stop = { $device ->
    [brace] Take it off
   *[insole] Take it out
}, do not wear it again, and call us if you find
sign-blister = a blister, or skin that is broken,
sign-mark = a red mark that is still there after { $minutes } minutes,
sign-any-mark = any red mark,
sign-numbness = numb or tingling toes, or toes that turn white or blue,
sign-new-pain = new pain in foot, knee, hip or back, or pain that gets worse,
sign-hot-swollen = a hot, red or swollen foot, or a fever: get help the same day,
sign-tight = a brace that presses because the leg has swollen,
sign-crack = { $kind ->
    [orthosis] a crack or a sharp edge in the insole
    [hinged-afo] a crack, a sharp edge or a loose hinge in the brace
   *[other] a crack or a sharp edge in the brace
}.
children-grow-title = Children grow
children-grow = Look every month whether the { $device ->
    [brace] brace
   *[insole] insole
} still fits the foot and the shoe. Bring it in with every new shoe size. { $device ->
    [brace] A brace
   *[insole] An insole
} can ease pain. It does not build an arch.
heading-shoes-and-care = Shoes and care
device-care-shoe = { $device ->
    [brace] Wear it in a shoe with extra depth, a firm heel and a wide, stable sole.
   *[insole] Wear it in a shoe with a firm heel that laces or straps.
} Take the shoe’s own inlay out if it gets tight.
device-care-feel = Feel into the shoe before you put it on: no stone, no fold.
device-care-heat = Keep it away from heat. Do not leave it in a hot car, on a heater or in the sun: it can lose its shape.
device-care-clean = Wipe it with a damp cloth and mild soap. Let it dry in the air.
device-care-repair = Do not cut, heat or bend it. If it rubs or creaks, bring it to us.
heading-see-again = When we see you again
break-in-next-visit = Your next visit: { $when } Bring the { $device ->
    [brace] brace
   *[insole] insole
} and the shoes.
break-in-no-date = No date is written down. Ask us for one; { $device ->
    [brace] one to two weeks after you got the brace
   *[insole] about two weeks after you got the insole
} is usual. Bring it with your shoes.
break-in-call = Call us if anything worries you: { $telephone }. { $clinician } decides what is right for { $who ->
    [child] your child
   *[adult] you
}; this sheet does not.
ask-for-number = ask for our number
label-feet = { $count ->
    [one] Foot
   *[other] Feet
}
day-number = Day { $number }
hours = { $count } { $count ->
    [one] hour
   *[other] hours
}
after-that = After that
after-days = All day if skin and foot feel well; sport and long walks last
after-days-numb = Only as long as we told you
head-day = Day
head-wear-at-most = Wear it at most
head-hours-worn = Hours worn
head-skin = What the skin looked like
feeling-lost-title = { $who ->
    [child] Your child’s feet
   *[adult] Your feet
} do not feel all they should
feeling-lost-begin = A sore can start without pain. Begin only if we said so, and never go barefoot.
feeling-lost-lining = Wear the brace only if it was made for this foot and is lined all over. If not, ask us first.
feeling-lost-look = Look at both feet every day, morning and evening, for as long as the { $device ->
    [brace] brace
   *[insole] insole
} is worn. Feel into the shoe before you put it on.
feeling-lost-stop = Stop at the first mark. Do not wait for pain.
numb-feet-title = Numb feet
numb-feet = If { $who ->
    [child] your child’s
   *[adult] your
} feet are numb, or the feeling gets less, tell us before you start. Then look at both feet every day: a sore can start without pain.
feeling-not-recorded = We have not written down how well the feet feel. Ask us.

## The order of a shell

title-order = Order { $code }: foot orthosis, { $side ->
    [left] left foot
   *[right] right foot
}
order-invented = This practice is a demo: patient, foot and order are invented. Make nothing from this sheet.
order-foot = Order { $code }, patient { $patient }, { $side ->
    [left] left foot
   *[right] right foot
}.
label-order = Order
label-patient-code = Patient’s code
label-product = Product
product-shell = printable shell
product-positive = corrected positive, to form a sheet over
made-of-caption = What it is made for, and of
label-foot-length = Length of the { $side ->
    [left] left foot
   *[right] right foot
}
label-surface = Surface
label-material = Material
label-post-material = Material of the post
order-differs-title = The file is not what was asked for: do not make it before this is settled
order-differs-asked = { $found }, asked for { $asked }
solids-caption = Solids of the file
head-solid = Solid
head-volume = Volume
head-mass = Mass
order-together = Together
order-look-twice = To look at twice
order-no-strength-title = Strength not computed
order-no-strength = Nobody has computed how far this device bends and whether it lasts.
strength-caption = Strength under { $weight } kg; the arch gives way by { $flattening } at body weight
strength-below = { $safety }, below { $least }
strength-stiffness = Stiffness: { $stiffness }. In brackets: over the band of that stiffness. Safety: how many times the stress could grow until it reaches the allowable one.
strength-left-out = Left out: { $what }
head-load-case = Load case
head-load = Load
head-bends-free = Bends, front edge free to slide
head-bends-held = Bends, front edge held
head-safety-free = Safety, free
head-safety-held = Safety, held
order-no-file-title = No file goes with this sheet
order-no-file = The dimensions in it are those that were asked for, not those of a file.
files-caption = Files of this order. Make nothing from one whose hash differs.
head-file = File
head-hash = SHA-256
order-signed = Signed: { $when }
order-sign-here = Signature and day:
order-by = Ordered by { $clinician }.
dimensions-caption = What is asked for, and what was measured again on the written file
head-dimension = Dimension
head-asked-for = Asked for
head-in-the-file = In the file
in-the-surface = in the surface
asked-not = Not asked for: { $parts }.
asked-differs = { $value }, differs
asked-edges = Edges
asked-edge-rounding = Rounding of every free edge
asked-corrections = Corrections of the positive
asked-inner-raised = { $angle }°, inner side raised
asked-outer-raised = { $angle }°, outer side raised
asked-level = 0°, level
asked-long-axis = about the long axis
asked-oblique-axis = about an axis rising { $rise } and turned inward { $inward }
asked-inversion = Inversion of the rearfoot
asked-inversion-absent = inversion of the rearfoot
asked-balance = Forefoot balance
asked-balance-absent = forefoot balance
asked-fill = Arch fill
asked-fill-minimal = minimal
asked-fill-standard = standard
asked-fill-maximal = maximal
asked-skive-depth = Medial heel skive, depth
asked-skive-angle = Medial heel skive, angle
asked-skive-clipped = { $depth }, inner half only
asked-skive-absent = medial heel skive
asked-expansion = Heel expansion, both sides together
asked-expansion-absent = heel expansion
asked-groove = Plantar-fascia groove
asked-groove-size = { $depth } deep, { $width } wide
asked-groove-absent = plantar-fascia groove
asked-relief = Navicular relief
asked-relief-size = { $depth } deep, radius { $radius }
asked-relief-forward = { $shift } forward
asked-relief-upward = { $shift } upward
asked-relief-absent = navicular relief
asked-first-ray = First-ray cut-out
asked-first-ray-absent = first-ray cut-out
asked-shell = Shell
asked-thickness = Thickness, everywhere
asked-thickness-arch = Thickness at the arch
asked-thickness-rest = Thickness elsewhere
asked-heel-cup = Heel cup, depth
asked-front-edge = Front edge behind the metatarsal heads
asked-inner-rim = Inner rim at the navicular
asked-outer-rim = Outer rim at the navicular
asked-flange = flange, { $height }
asked-no-flange = no flange
asked-trim = Trim line moved at station { $station }
asked-trim-inward = { $shift } mm inward
asked-trim-outward = { $shift } mm outward
asked-rearfoot-post = Rearfoot post
asked-rearfoot-post-absent = rearfoot post
asked-forefoot-post = Forefoot post
asked-forefoot-post-absent = forefoot post
asked-angle = Angle
asked-rear-length = Length from the rear edge
asked-front-length = Length from the front edge
asked-bevel = Bevel of its sides
asked-heel-lift = Heel lift
asked-made-as = Made as
asked-own-solid = a solid of its own
asked-one-piece = one piece with the shell
asked-shoe = Inside of the shoe
asked-shoe-heel = Width at the heel
asked-shoe-ball = Width at the ball
asked-shoe-toes = Height over the toes
asked-as-it-comes-out = As it comes out

## What was tried, and what has changed

given-caption = What was tried, for how long, and with what result
given-none = What was tried before is not recorded.
given-goes-on = goes on
given-at-check = Checked on { $day }: { $found }
given-injection = Injection
given-boot = Boot or cast
given-wrap = Wrap
given-medicine = Medicine
given-therapy = Therapy programme
given-device = Device
given-operation = Operation
given-check = Check
head-treatment = Treatment
head-began = Begun
head-ended = Ended
head-result = Result
change-caption = Then and now; a difference within the error of measuring is no change
head-measure = What
head-then = Then
head-now = Now
head-change = What may be said
change-by = Changed by { $by }.
change-changed = Changed.
change-none-by = No change shown: the difference is { $by }.
change-none = No change shown.
change-cannot-tell = Cannot be told.
change-as-then = As it was.
change-why-view = The films show it from different sides.
change-why-stance = One was taken standing and the other not, or it is not recorded.
change-why-worn = Not both were taken on the bare foot, or it is not recorded.
change-why-method = They were measured in two ways.
change-why-scale = Their scales were come by in two ways, or are not known.
change-why-two-readers = Two readers read them, and how far two readers differ is not known.
change-why-unknown-reader = Who read one of them is not known.
change-why-no-yard = How large a difference error alone makes is not known here.
change-matters = Large enough to matter to people by { $of ->
    [one] the size that was published.
   *[other] all { $of } sizes that were published.
}
change-matters-some = Large enough to matter to people by { $by } of { $of } published sizes.
change-matters-not = Smaller than every published size that matters to people.
change-matters-not-known = From which size on it matters to people was found in no source.
change-smallest = More than error from { $smallest } on.

heading-since = Since then
since-line = { $what }: { $then } on { $day }, { $now } now.
since-changed = This has changed.
since-same = This is about the same: so small a difference can come from measuring.
since-cannot-tell = The two cannot be compared.
since-number = {""}
since-small = That is less than what people in studies noticed.
since-as-then = As it was.
since-matters-some = In some studies people noticed a change this large.
since-matters = In studies people noticed a change this large.

## The letter to the therapist

title-therapist = Therapy: findings, goals, programme and limits
therapist-thanks = Thank you for treating this person. What was found and decided stands here; how much is right from day to day is for you to judge.
therapist-stage = stage { $stage } of the failing tendon.
therapist-stage-decided = stage decided on by the clinician: { $stage }.
therapist-stage-open = the stage is not settled.
therapist-alarm-first = first comes the alarm sign above; no programme rests on a stage until it is dealt with.
heading-goals = Goals
goal-own = Wants to do again: { $words }
goals-none = No goal is recorded.
heading-programme = Programme, and what is allowed
programme-step = { $foot }, { $step }:
programme-none = No programme is recorded.
programme-adapt = Amounts are where to start; the therapist fits them to the person. Where a dosage is recalled from a trial and unconfirmed, its caution below says so.
not-to-do-title = What is not to be done, and why
not-because = Why: { $why }
not-before-known = not before it is known { $check }.
not-without-asking = ask us first, since something was found on the question { $check }.
not-to-do-none = Nothing is recorded that must not be done. That is not the same as nothing being against it.
heading-look-again = When to look again
look-of-step = { $step }, { $when }: { $what }
head-exercise = Exercise
head-amount = How much

## The letter to the surgeon

title-surgeon = Collapsing flatfoot: a question to the surgeon
heading-question = What we ask
question-none = No question is written down. Write it here before this letter is signed.
heading-tried = What was tried
injections = Steroid injections at this ankle so far: { $count }.
injections-logged = Steroid injections written down here, in either foot: { $count }; earlier ones not recorded.
injections-not-recorded = Steroid injections at this ankle so far: not recorded.
heading-change = Change over time
heading-risks = Risks on record
risk-weight = weight { $weight }
risks-there = On record: { $risks }.
risks-absent = Asked for and not there: { $risks }.
risks-open = Not recorded: { $risks }.

## The letter to the maker of a brace

title-lab = Brace: order and measurements
heading-brace = What is ordered
brace-no-order-title = No order is written down
brace-no-order = Write here what is to be made, for which side, and of what, before this letter is signed. Make nothing from it as it stands.
brace-shoe = Shoe it has to fit: extra depth, a firm heel counter, a wide stable base; a rocker sole where it is stiff (common practice, unconfirmed).
brace-break-in = Getting used to it: one hour on the first day, one hour more each day (common practice, unconfirmed).
brace-looks = We look at skin, fit and hours after 1 to 2 weeks and at 6 weeks; please keep the model until then.
legs-none-title = No leg is measured
legs-none = Measure the leg on its own page before this is sent. Make nothing from it as it stands.
making-caption = What was found on the foot
legs-caption = Sizes as measured
leg-level = { $name }: { $round } round, { $up } up
leg-level-bare = { $name }, { $up } up
leg-at-ankle = ankle
leg-at-calf = calf
leg-below-knee = below the knee
leg-free = leave free: { $size }
leg-free-place = { $heel } from the heel, { $up } up
leg-free-size = { $long } long, { $high } high
leg-free-out = { $out } out
leg-drawing = { $side ->
    [left] Left leg
   *[right] Right leg
} from the inner side, to its measures
leg-inner-ankle = inner ankle
leg-outline-only = Outline only: the foot's length is not recorded.
leg-nothing = nothing measured yet
legs-how = Girths and widths over the bare skin, standing, the tape laid on without pulling. A size that is not measured is to be asked for, not guessed.
brace-caution = Stop and ask where a size, a side or the shape does not fit what was found. A foot that does not feel needs full lining and no hard edge.

## Notes for a school or an employer

title-note = { $to ->
    [school] Note for the school
   *[employer] Note for the employer
}
label-about = About
note-nothing-title = Nothing may be told yet
note-nothing = It is not recorded what may be told. Ask, write it down, and draft this note again.
note-agreed = What stands here may be told. Agreed: { $agreed }.
note-agreed-by-nobody = It is not recorded who agreed to this note. Ask before it is handed over.
note-reason = Reason, in the words that were agreed: { $reason }
note-no-reason = No reason is given, and none is needed for this note.
heading-can = What goes well
heading-cannot = What is not to be done for now
heading-needs = What helps
note-until = This holds until { $until }
note-no-end = It is not recorded until when this holds. Ask us.
note-more = More than this we tell nobody without being allowed to. Please ask the person, not us.

## Exercises at home

title-home = { $who ->
    [child] Exercises at home for your child
   *[adult] Your exercises at home
}
home-none = No exercises are written down. Ask us before you start any.
home-start = { $who ->
    [child] Do these exercises with your child. Go slowly, and stop when it is too much.
   *[adult] Do these exercises slowly, and stop when it is too much.
}
home-pain-title = How much may it hurt?
home-pain = A little pain is fine, up to { $limit } of 10, if it is gone the next day.{ $who ->
    [child] {""} Ask your child.
   *[adult] {""}
}
home-stop = If it hurts more than that, or still hurts the next day, do less. If it gets worse all the same, stop and call us.
home-ask = { $who ->
    [child] If your child limps, do no exercises before we have looked.
   *[adult] If you feel a snap, or the tendon is torn, do no exercises before we have looked.
}
amount-sets-of = { $sets } { $sets ->
    [one] round
   *[other] rounds
} of { $times }
amount-sets = { $sets } { $sets ->
    [one] round
   *[other] rounds
}
amount-times = { $times } { $times ->
    [one] time
   *[other] times
}
amount-hold = hold for { $seconds } { $seconds ->
    [one] second
   *[other] seconds
}
amount-metres = { $metres } { $metres ->
    [one] metre
   *[other] metres
}
amount-a-day = { $times ->
    [1] once a day
    [2] twice a day
   *[other] { $times } times a day
}
amount-in-a-day = { $amount } a day
exercises-care = Some pain is fine, up to { $limit } of 10, if it is gone the next day. If the tendon is torn, do not train it before a surgeon has looked.
amount-load = with { $load }
head-done = Done
head-pain = Pain, 0 to 10
head-next-morning = Next morning
exercise-band-in-and-down = Turn the foot in and down against a band
exercise-band-in-and-down-how = Tie the band to something firm on the outer side. Point the foot. Turn the sole in and down against the band. Then let it back slowly.
exercise-band-in-and-down-alt = Line drawing seen from above: a band is tied to a post on the outer side and runs around the front of the foot; the foot turns inwards against it.
exercise-calf-stretch = Stretch the calf, heel held straight
exercise-calf-stretch-how = Lean on a wall with one leg behind you. Keep that knee straight and the heel on the floor. Put a folded cloth under the inner side of the foot so that the heel stays straight.
exercise-calf-stretch-alt = Line drawing from the side: a person leans on a wall with both hands, one leg bent in front, the other straight behind with its heel pressed to the floor.
exercise-heel-rise = Rise on your toes
exercise-heel-rise-how = Hold on to a wall. Lift the heel slowly as high as it goes, then come down slowly.
exercise-heel-rise-alt = Line drawing from the side: a person stands on one leg beside a wall, a hand on it, and lifts the heel off the floor.
exercise-toe-walk = Walk on your toes
exercise-toe-walk-how = Walk slowly with both heels off the floor. Hold on to something if you need to.
exercise-toe-walk-alt = Line drawing from the side: a person walks with both heels off the floor.
