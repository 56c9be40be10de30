# Todas las palabras de las cartas, hojas y notas, en español.
#
# Las claves son las de `en.ftl`. Los textos del formulario y de la carpeta de conocimiento llevan al lado, como
# `.en`, el texto inglés que traducen: si este cambia, la traducción ya no vale y se imprime el inglés.

## El idioma

language-name = Español
decimal-mark = ,
date = { $day } de { $month } de { $year }
month-1 = enero
month-2 = febrero
month-3 = marzo
month-4 = abril
month-5 = mayo
month-6 = junio
month-7 = julio
month-8 = agosto
month-9 = septiembre
month-10 = octubre
month-11 = noviembre
month-12 = diciembre
list = { $head } { $and } { $last }
list-comma = {", "}
list-and = y
    .before = i í hi hí
    .not-before = hie hia ia ie io
    .then = e
list-or = o
quoted = «{ $words }»
labelled = { $label }: { $value }
aside = { $what } ({ $aside })
span = { $low } a { $high }
about = unos { $value }
measured-on = { $on ->
    [print] medido en una huella
    [pressure] medido en una matriz de presiones
    [photograph] medido en una fotografía
    [clip] medido en un vídeo
    [markers] medido en un archivo de marcadores
   *[other] medido
}
measured-chance = { $answer }, probabilidad { $percent } %
measured-alone = { $value } ({ $how })
measured-within = { $value }, { $how }
overruled-number = medido { $value }; vale el valor del clínico
overruled-choice = medido: { $value }; vale la respuesta del clínico
yes = sí

## Lados, proyecciones, unidades

side = { $side ->
    [left] izquierdo
   *[right] derecho
}
foot = { $side ->
    [left] pie izquierdo
   *[right] pie derecho
}
of-foot = { $foot }. { $said }
view-lateral = pie de perfil
view-dorsoplantar = pie dorsoplantar
view-hindfoot = alineación del retropié
view-ankle = tobillo de frente
stance-standing = hecha de pie
stance-not = no hecha de pie
stance-unknown = no se sabe si de pie
unit-deg = { $value }°
unit-ratio = { $value }
unit-grade = grado { $value }
unit-of-10 = { $value } de 10
unit-of-5 = { $value } de 5
unit-of-4 = { $value } de 4
unit-mm = { $value } mm
unit-cm = { $value } cm
unit-kg = { $value } kg
unit-c = { $value } °C
unit-toes = { $value } { $value ->
    [one] dedo
   *[other] dedos
}
unit-rises = { $value } { $value ->
    [one] elevación
   *[other] elevaciones
}
unit-hours = { $value } { $value ->
    [one] hora
   *[other] horas
}
unit-weeks = { $value } { $value ->
    [one] semana
   *[other] semanas
}
unit-years = { $value } { $value ->
    [one] año
   *[other] años
}
unit-injections = { $value } { $value ->
    [one] infiltración
   *[other] infiltraciones
}
unit-other = { $value } { $unit }
points = { $value } puntos

## Todo papel

not-recorded = no consta
not-looked-at = no explorado
not-measured = no medido
not-computed = no calculado
not-known = no se conoce
label-patient = Paciente
label-born = Nacimiento
label-chart = Historia n.º
label-seen = Visita
label-side = Lado
label-view = Proyección
label-stance = Postura
label-film-of = Radiografía del
label-scale = Escala
label-points-by = Puntos de
page-foot = No es un producto sanitario certificado. Decide el profesional clínico; primero van las normas locales y el ejercicio autorizado.
page-of = Página { $page } de { $pages }
draft-mark = BORRADOR – sin firmar
not-signed = Borrador, sin firmar
signed = Firmado el { $when }
addendum-title = Adenda: { $title }
label-adds-to = Se añade a
adds-to = carta firmada el { $day }, sello { $seal }
clinician-decides = Decide el profesional clínico; primero van las normas locales y el ejercicio autorizado.
demo = Demostración: todas las personas y todos los números son inventados.
telephone = Teléfono { $number }
decision-stage = Estadio decidido para el { $side ->
    [left] pie izquierdo
   *[right] pie derecho
}: { $stage }.
decision-reason = Razón: { $reason }
decision-worn = Llevará en el { $side ->
    [left] pie izquierdo
   *[right] pie derecho
} hasta la próxima visita: { $what }
invented-title = Datos inventados
to-know = Para saber
to-know-of = Para saber: { $what }
not-read-title = No leído
not-read = No leído: { $what }

## Radiografías y lecturas

head-reading = Lectura
head-value = Valor ± 95 %
head-limits = Frente a sus límites
head-place = Lugar
head-yardsticks = Referencias
no-limits = sin límites que dibujar
place-inside = dentro
place-outside = fuera
place-straddles = a caballo
place-sources-differ = las fuentes difieren
place-not-judged = no se juzga
place-no-yardstick = sin referencia
place-not-compared = no comparado
place-above = { $place }, por encima
place-below = { $place }, por debajo
place-share-outside = { $share } % fuera
yardsticks-more = y { $count } más { $marks }
yardstick-above = más de { $value }
yardstick-below = menos de { $value }
yardstick-abnormal = anormal
yardstick-people = n { $n }
yardstick-not-used = no se usa: { $why }
reading-of-side = { $reading }, { $side }
film-caption = { $film }, { $stance }. Puntos y líneas tal como se colocaron.
film-alt = Radiografía, { $view }, { $side }, { $stance }, { $said }.
film-alt-nothing = no se pudo leer nada en ella
film-alt-readings = con puntos y líneas dibujados: { $readings }
film-side = { $side ->
    [left] lado izquierdo
   *[right] lado derecho
}
film-side-not-recorded = lado no registrado
film-nothing-read = No se pudo leer nada en esta radiografía.
caution-not-standing-title = No hecha de pie
caution-not-standing = Las referencias son para pies en carga. Estas lecturas no deciden ningún estadio y no deben compararse con las de una radiografía hecha de pie.
caution-stance-unknown-title = No se sabe si se hizo de pie
caution-stance-unknown = Las referencias son para pies en carga. Mientras nadie diga cómo se hizo la radiografía, estas lecturas no deciden ningún estadio.
refused-not-placed = sin colocar: { $points }.
refused-outside = { $points } queda fuera de la radiografía.
refused-same-spot = { $points } están en el mismo lugar.
refused-no-scale = sin escala en milímetros: { $why }
refused-no-floor = no se colocó el nivel del suelo.
asked-on-film = { $measure } en una radiografía hecha de pie

## La hoja de lecturas

title-sheet = Hoja de lecturas: { $film }
sheet-readings-caption = Lecturas con su intervalo del 95 %, referencias para { $person }
person-with-age = { $age } años cumplidos, { $sex ->
    [female] mujer
    [male] hombre
   *[unknown] sexo no registrado
}
person-without-age = edad no registrada, { $sex ->
    [female] mujer
    [male] hombre
   *[unknown] sexo no registrado
}
sheet-key-alt = Clave de las marcas: punto, dentro; rombo lleno, fuera; rombo medio lleno, el intervalo está a caballo de un límite; punto partido, las fuentes difieren; anillo, no se juzga o sin referencia.
sheet-key-none = no se juzga, o sin referencia
sheet-key = Banda sombreada: aceptado por las referencias que deciden; trazo vertical: un límite impreso; bigote: intervalo del 95 % de la lectura. { source-letters }
sheet-no-age = Edad no registrada: se dejaron fuera las referencias que dependen de ella.
sheet-use-title = Uso
sheet-use-readings = Lecturas, no un diagnóstico: decide el profesional clínico, y una radiografía nunca decide sola.
sheet-use-error = El error abarca la colocación, la escala, el giro del pie y el suelo; no otro día, otra radiografía ni otro lector.
source-letters = r: se leyó el texto; a: solo su resumen; c: práctica habitual, sin publicación; u: sin confirmar, de memoria, no decide nada por sí solo.
source-unknown = no está en la carpeta de fuentes
sources-heading = Fuentes
sources-letters = La letra tras una fuente dice cuánto de ella se vio. { source-letters }

## La carta al médico que remite

title-referrer = Pie plano colapsado: hallazgos, estadio, primer plan
heading-in-short = En breve
heading-story = Historia
heading-findings = Hallazgos
heading-films = Radiografías y lecturas
heading-stage = Estadio, con sus razones
heading-plan = Primer plan
heading-record = Registro de la visita
short-chosen = Elegido para el { $side ->
    [left] pie izquierdo
   *[right] pie derecho
}: { $steps }.
short-decision = Decisión: { $decision }
short-next-visit = Próxima visita: { $when }
short-of-foot = { $foot }: { $said }.
short-stage = estadio { $stage }
short-none-fits = ningún estadio del tendón que cede encaja con lo hallado{ $would }
short-not-settled = estadio sin decidir{ $would }
short-not-settled-among = estadio sin decidir, { $stages }{ $would }
short-kind = tipo de pie plano: { $kind }
short-light = semáforo: { $light }
short-classes = clases de 2020: { $classes }
films-none = En esta visita no se leyó ninguna radiografía.
readings-none = No se pudo hacer ninguna lectura que decida.
readings-key = ±: la mitad del intervalo del 95 %, por colocación, escala, giro y suelo. Sombreado: aceptado por las referencias que deciden; trazo: un límite impreso. r: fuente leída, a: resumen, c: práctica habitual, u: sin confirmar.
readings-caption = Lecturas que deciden{ $more ->
    [0] {""}
   *[other] ; { $more } más en el registro
}
before-anything = Antes de hacer nada

## La historia

story-none = No consta ninguna historia.
who-without-age = { $sex ->
    [female] Una paciente
   *[male] Un paciente
}, edad no registrada
who-with-age = { $who ->
    [girl] Una niña
    [boy] Un niño
    [child] Una persona menor
    [woman] Una mujer
    [man] Un hombre
   *[adult] Una persona adulta
} de { $age } { $age ->
    [one] año
   *[other] años
}
story-course = La molestia { $parts }.
story-onset-gradual = empezó poco a poco
story-onset-sudden = empezó de un día para otro
story-onset-after_injury = empezó tras una lesión
story-onset-always = existe desde que se recuerda
story-lasted = dura { $weeks } { $weeks ->
    [one] semana
   *[other] semanas
}
story-course-better = va mejorando
story-course-same = sigue casi igual
story-course-worse = va empeorando
story-who-says = { $who }, que dice: { $words }
story-says = En sus palabras: { $words }
story-injury = antes hubo una lesión de este pie o tobillo
story-no-injury = antes no hubo ninguna lesión
story-tried-weeks = { $weeks } { $weeks ->
    [one] semana
   *[other] semanas
} de tratamiento constante hasta ahora
story-tried = probado hasta ahora: { $words }
story-goal = quiere volver a hacer: { $words }
story-answered-yes = Contestó que sí: { $answers }.
label-other-medicines = Otros medicamentos
label-laxity = Articulaciones laxas, de 9 puntos
label-alarm-questions = Preguntas de alarma
answers-yes = Sí: { $answers }.
answers-no = No: { $answers }.

## Hallazgos en palabras de colega

brief-none = No consta ningún hallazgo.
brief-open = Sin explorar: { $asks }.
brief-alike = Los dos pies iguales. { $said }
brief-pain_level = dolor { $answer } en su peor momento de esta semana
brief-pain = dolor { $places }
brief-pain-pressed = dolor a la presión { $places }
brief-pain-none = ninguno { $places }
brief-at-pain_inner_ankle = tras el tobillo interno
brief-at-pain_navicular = en el navicular
brief-at-pain_sole = en la planta
brief-at-pain_outer = en el seno del tarso
brief-at-pain_under_fibula = bajo el maléolo externo
brief-at-pain_ankle_joint = en la línea articular del tobillo
brief-at-pain_midfoot_joints = en las articulaciones del mediopié
brief-swelling_inner = hinchazón { $answer } a lo largo del tendón
brief-swelling_inner-none = sin hinchazón a lo largo del tendón
brief-swelling_leg = hinchazón { $answer } de pie y pierna
brief-heel_angle_deg = ángulo del talón de pie { $answer }
brief-toes_seen = { $answer } a la vista desde atrás
brief-posture = suma de los seis apartados de postura { $total }
brief-forefoot_varus_left_deg = quedan { $answer }
brief-tmt_gap-yes = la columna interna se abre por la planta
brief-ankle_tilt_seen-yes = el propio tobillo se inclina hacia fuera
brief-deltoid_lax-yes = el deltoideo cede
brief-impinges_sinus_tarsi-yes = pinzamiento en el seno del tarso
brief-impinges_under_fibula-yes = pinzamiento bajo el peroné
brief-subtalar_subluxed-yes = el astrágalo se desliza fuera del calcáneo
brief-lift = flexión dorsal del tobillo { $lifts }
brief-both-pulses = los dos pulsos se palpan bien
brief-filament = filamento de 10 g sentido en { $felt } de { $of }
brief-skin_ulcer-yes = una úlcera o herida abierta
brief-skin_ulcer-no = ninguna herida abierta
brief-skin_infection-yes = piel infectada
brief-skin_infection-no = sin infección de la piel
brief-skin_weeping-yes = eccema que supura
brief-skin_fragile-yes = piel fina o frágil
brief-temperature_difference_c = piel { $answer } frente al otro pie
brief-heel_line = de pie, el talón está { $answer }
brief-arch_standing = arco de pie { $answer }
brief-arch_sitting = sentado, el arco { $answer }
brief-arch_on_tiptoe = de puntillas, el arco { $answer }
brief-navicular_drop_mm = descenso del navicular { $answer }
brief-heel_rise_single = elevación sobre un talón: { $answer }
brief-heel_rise_pain = dolor { $answer }
brief-heel_rise_stopped_by = terminó por { $answer }
brief-heel_rise_double = elevación sobre los dos talones: { $answer }
brief-first_metatarsal_rise = la cabeza del primer metatarsiano { $answer }
brief-heel_corrects = talón a neutro con la mano: { $answer }
brief-forefoot_varus_corrects = el antepié levantado baja: { $answer }
brief-forefoot_drift_corrects = la desviación del antepié se corrige: { $answer }
brief-subtalar_motion = movimiento subtalar { $answer }
brief-first_ray = primer radio { $answer }
brief-ankle_tilt_corrects = la inclinación del tobillo se corrige con la mano: { $answer }
brief-tp_strength = tibial posterior { $answer }
brief-dorsiflexion_straight_deg = rodilla recta { $answer }
brief-dorsiflexion_bent_deg = rodilla doblada { $answer }
brief-pulse_dorsal = pulso pedio { $answer }
brief-pulse_tibial = pulso tibial posterior { $answer }
brief-ankle_brachial_index = índice tobillo-brazo { $answer }
brief-tendon_image = tendón en ecografía o resonancia: { $answer }
brief-forefoot_drifts_out-yes = el antepié se desvía hacia fuera
brief-forefoot_drifts_out-no = el antepié no se desvía
brief-sides_differ-yes = claramente más plano que el otro pie
brief-heel_rise_turns_in-yes = el talón gira hacia dentro al subir
brief-heel_rise_turns_in-no = el talón no gira hacia dentro al subir
brief-forefoot_varus-yes = entonces el antepié queda levantado por dentro
brief-forefoot_varus-no = entonces el antepié queda plano
brief-coalition_seen-yes = se ve o se sospecha un puente entre huesos
brief-accessory_navicular-yes = un hueso de más en el navicular

## Estadio y signos de alarma

alarm-title = Alarma, { $urgency }{ $on }: { $sign }
alarm-holds-plan = Ningún plan para el { $feet } se apoya en un estadio hasta que esto se resuelva.
alarm-still-to-ask = Queda por preguntar o explorar: { $asks }.
alarm-if-so = Si es así: { $action } { $marks }
alarm-not-cleared = Sin descartar{ $on }: { $sign }
alarm-not-asked = Signos de alarma por los que nadie preguntó: { $signs }.
found = Hallado: { $what }
stage-none = No se determinó ningún estadio.
stage-because = Porque: { $reasons }.
stage-chances = Probabilidades solo por el error de las lecturas: { $chances }.
stage-disagree = Respuestas y lecturas no concuerdan en: { $criteria }.
stage-more-open = { $count } { $count ->
    [one] criterio abierto más
   *[other] criterios abiertos más
} en el registro.
label-contradicting = Se contradicen
label-still-open = Sigue abierto
not-settled = sin decidir
no-stage = ningún estadio
missing-yes-leaves = un sí deja { $stages }
missing-no-leaves = un no deja { $stages }
missing-look-at = { $what } ({ $why }; mirar: { $asks })
missing-if-yes = Si es que sí: { $left }.
missing-if-no = Si es que no: { $left }.
none-left = no queda ninguno
count-left = quedan { $count }
schemes-caption = { $foot }: estadio en cada clasificación. Las probabilidades vienen solo del error de las lecturas.
head-scheme = Clasificación
head-answer = Respuesta
head-rests-on = Se apoya en
scheme-open = Abierto: { $criteria }
class = { $letter } { $words }, { $supple }
class-flexible = flexible
class-rigid = rígido
class-unknown = no se sabe si flexible o rígido
class-none = No se sabe de ninguna clase presente
criteria-caption = { $foot }: criterios y sus razones
head-criterion = Criterio
head-there = Está
head-because = Porque
criterion-chance = Probabilidad por el error de la lectura: { $chance }
criteria-absent = Buscado y no hallado: { $criteria }.
criteria-missing = { $foot }: qué falta y qué cambiaría
criteria-more-open = { $count } { $count ->
    [one] criterio abierto más
   *[other] criterios abiertos más
} de menos peso: { $criteria }.

## Plan

plan-none-chosen = No consta ningún paso elegido.
head-chosen = Elegido
plan-own-choice = Elegido por el profesional clínico; la escala no lo proponía para este pie.
plan-look-again = Volver a mirar { $looks }.
plan-check-first = Comprobar antes: { $checks }.
plan-held-back = elegido por el profesional clínico aunque la escala lo retiene.
plan-why-caption = { $foot }: por qué estos pasos y con qué pruebas
head-step = Paso
head-why = Por qué, y pruebas
plan-not-chosen = { $foot }, también en la escala y no elegido: { $steps }.
send-back-title = Remitir sin esperar (práctica habitual; primero van las normas locales)
send-back-emergency = Urgencia: un pie frío, pálido o azulado que duele en reposo; una pantorrilla hinchada con falta de aire o dolor de pecho.
send-back-same-day = El mismo día: pie caliente, rojo e hinchado o fiebre; pantorrilla hinchada y dolorosa; un chasquido o pérdida brusca del arco; no puede apoyar el peso; una llaga nueva, o dedos dormidos o azulados bajo una plantilla, bota o vendaje{ $who ->
    [child] ; cojera con fiebre; dolor que despierta de noche
   *[adult] {""}
}.

## El registro tras una carta

asked-caption = Preguntado y contestado
head-about = Sobre
examination-caption = Exploración; solo lo que consta
head-looked-at = Explorado
posture-sum = Suma de seis, −12 a +12
every-reading-caption = Todas las lecturas: { $film }, { $stance }

## La carta al paciente, o a quien cuida de un niño

title-patient = { $who ->
    [child] Los pies de su hijo o hija: qué pasa y qué hacer
   *[adult] Sus pies: qué pasa y qué hacer
}
patient-thanks = { $who ->
    [child] Gracias por traer a su hijo o hija.
   *[adult] Gracias por venir.
} Esta carta le dice qué hemos visto y qué ayuda ahora.
parents-came-with = Su hijo o hija vino con: { $who }.
parents-consent = Se acordó: { $consent }
parents-came-parent = Con su hijo o hija vino su padre o su madre.
parents-came-guardian = Con su hijo o hija vino quien tiene la tutela.
parents-came-other = Con su hijo o hija vino otra persona.
parents-came-alone = Su hijo o hija vino sin nadie.
parents-consent-parent = El padre o la madre está de acuerdo con lo hecho y lo previsto.
parents-consent-guardian = Quien tiene la tutela está de acuerdo con lo hecho y lo previsto.
parents-consent-child = Su hijo o hija podía decidir y está de acuerdo con lo hecho y lo previsto.
parents-consent-not_yet = Nadie ha dado todavía su acuerdo al tratamiento.
alarm-first = Esto va primero: { $sign }
alarm-how-soon = Cuándo: { $urgency }.
alarm-what-to-do = Qué hay que hacer: { $action }
heading-going-on = Qué pasa
your-foot = { $who ->
    [child] { $side ->
        [left] el pie izquierdo de su hijo o hija
       *[right] el pie derecho de su hijo o hija
    }
   *[adult] { $side ->
        [left] su pie izquierdo
       *[right] su pie derecho
    }
}
both-feet-alike = { $who ->
    [child] Los dos pies de su hijo o hija
   *[adult] Sus dos pies
} están igual: { $said }
nothing-written-down = de esta visita no hay nada anotado.
found-no-pain = Esta semana no dolió.
found-pain = El dolor fue de { $level } sobre 10 en su peor momento de esta semana.
found-numb = El pie no siente un toque suave en todas partes. Puede hacerse daño sin que usted lo note.
means = Qué significa: { $meaning }
means-we-think = Qué creemos que es: { $meaning }
means-alarm-first = Primero va lo que está al inicio de esta carta. Cuánto ha bajado el arco es una pregunta para después.
means-no-tendon = Lo que hemos visto aquí no encaja con un tendón que cede.
means-open = Aún no podemos decir si { $who ->
    [child] el arco de su hijo o hija
   *[adult] su arco
} ha bajado aquí, ni cuánto. Antes tenemos que mirar más.
plain-stage = { $meaning }. En la profesión se llama estadio { $stage } de cuatro.
plain-stage-I = El tendón está dolorido y el talón sigue en su línea
plain-stage-II = El talón se ha ido hacia fuera y todavía se puede llevar a su sitio
plain-stage-III = El talón se ha ido hacia fuera y se ha quedado rígido
plain-stage-IV = El tobillo mismo se inclina hacia fuera
plain-kind-not-flat = El pie no es plano al estar de pie.
plain-kind-flexible-painless = El pie es plano al estar de pie, su arco vuelve y no duele.
plain-kind-flexible-painful = El pie es plano al estar de pie, su arco vuelve y duele.
plain-kind-rigid-painless = El pie es plano al estar de pie y su arco no vuelve.
plain-kind-rigid-painful = El pie es plano al estar de pie, su arco no vuelve y duele.
sags-caption = Qué se hunde en un pie plano. Un dibujo, no su propio pie.
sags-alt = Dibujo de dos pies vistos por dentro. En el pie sano el arco queda separado del suelo y lo sostiene el tendón que pasa por detrás del tobillo interno. En el pie plano el tendón cede y el arco ha bajado hasta el suelo.
sags-sound = Un arco que aguanta
sags-sagging = Un arco que se hunde
sags-tendon = tendón
sags-arch = arco
heading-x-ray = Qué se ve en la radiografía
film-caption-plain = { $seen }, { $stance }. Las líneas muestran cómo lo medimos.
film-not-standing-plain = No se sabe si se hizo de pie. Por eso sus números dicen poco del arco bajo el peso.
film-seen = { $side ->
    [left] pie izquierdo
   *[right] pie derecho
}, { $view }
film-is = { $who ->
    [child] Se ve el pie de su hijo o hija
   *[adult] Se ve su pie
}: { $seen }.
film-error-plain = Ninguna medida es perfecta. El número tras ± dice cuánto puede fallar, 19 de cada 20 veces.
plain-view-lateral = de perfil
plain-view-dorsoplantar = desde arriba
plain-view-hindfoot = desde atrás
plain-view-ankle = el tobillo de frente
plain-measure-meary_lat = La línea del arco, vista de perfil
plain-measure-calc_pitch = La inclinación del hueso del talón
plain-measure-tnca = Cuánto se ha ido hacia fuera la parte delantera del pie en su articulación principal
plain-measure-tn_uncov = Cuánto de esa articulación queda sin cubrir
plain-measure-t1mt_dp = La línea del primer hueso largo, vista desde arriba
plain-measure-hma = Cuánto queda el talón por fuera de la línea de la pierna
plain-measure-talar_tilt = La inclinación del tobillo
plain-measure-nav_height_truncated = La altura del arco para el largo del pie
plain-above-meary_lat = El arco ha bajado más de lo usual.
plain-below-meary_lat = El arco es más alto de lo usual.
plain-above-calc_pitch = El hueso del talón está más inclinado de lo usual.
plain-below-calc_pitch = El hueso del talón está más plano de lo usual.
plain-above-tnca = Está más hacia fuera de lo usual.
plain-below-tnca = Está más hacia dentro de lo usual.
plain-above-hma = Está más hacia fuera de lo usual.
plain-below-hma = Está más hacia dentro de lo usual.
plain-inside = Está dentro de lo que se publica como usual.
plain-outside = Está fuera de lo que se publica como usual.
plain-straddles = Está demasiado cerca del límite para decir si es usual.
plain-sources-differ = Los límites publicados difieren: según unos es usual, según otros no.
heading-to-do = { $who ->
    [child] Qué hacemos ahora y qué ayuda en casa
   *[adult] Qué hacemos ahora y qué hace usted en casa
}
head-to-do = { $who ->
    [child] Qué ayuda
   *[adult] Qué hacer
}
decided = Decidido: { $decision }
no-step-decided = En esta visita no se decidió ningún paso. Pregúntenos antes de empezar algo.
stop-and-call-title = Pare y llámenos
stop-and-call = Si un paso empeora { $who ->
    [child] el pie de su hijo o hija
   *[adult] el pie
}, déjelo y llámenos. Pregunte antes de tomar cualquier medicina, también sin receta.
as-talked-about = Como hablamos.
find-out-first = Antes de empezar, aún tenemos que saber { $checks }.
plain-check-feeling = si el pie siente un toque suave
plain-check-flow = si llega bastante sangre al pie
plain-check-clot = si puede haber un coágulo en la pierna
plain-check-skin = si la piel está sana
plain-check-heart = si hay una enfermedad del corazón
plain-check-paste = si hay alergia al vendaje
plain-check-nsaid = qué enfermedades y otras medicinas hay
plain-check-tear = si el tendón está roto
plain-check-corrects = si el talón se puede llevar a su sitio
plain-check-oedema = si la pierna se hincha
plain-check-hands = si las manos pueden con cordones y correas
plain-check-deformity = si el talón está en su línea
plain-check-injection = qué infiltraciones, infecciones y otras medicinas hubo
plain-check-other = lo que importa antes de una operación
heading-next-visit = Su próxima visita
see-you-again = Le vemos de nuevo: { $when }
look-at-step = { $step } { $when }
look-again-plain = Miramos cómo va: { $looks }.
no-date = No hay ninguna fecha anotada. Pídanos una.
heading-warnings = Cuándo llamar enseguida
warnings-emergency = Llame al número de urgencias si
warnings-same-day = Llámenos, o busque ayuda el mismo día, si
warnings-everybody = Esta lista se da a todo el mundo. No significa que usted tenga estos signos. Es práctica habitual; si las normas locales dicen otra cosa, siga esas.
warning-cold = el pie se pone frío, pálido o azul y duele { $who ->
    [child] en reposo
   *[adult] mientras descansa
},
warning-clot-breath = { $who ->
    [child] la pantorrilla se hincha y duele, y a su hijo o hija le falta el aire o le duele el pecho.
   *[adult] la pantorrilla se hincha y duele, y le falta el aire o le duele el pecho.
}
warning-hot = el pie o el tobillo se pone caliente, rojo e hinchado{ $who ->
    [child] {""}
   *[adult] , o tiene fiebre
},
warning-calf = la pantorrilla se hincha y duele,
warning-limp-fever = su hijo o hija cojea con fiebre, o no quiere andar,
warning-night-pain = el dolor despierta de noche a su hijo o hija,
warning-snap = { $who ->
    [child] hay
   *[adult] nota
} un chasquido en el tobillo, o el arco desaparece de golpe,
warning-no-weight = no puede apoyar nada de peso en el pie,
warning-sore = ve una llaga, ampolla o herida nueva, sobre todo bajo una plantilla, bota o vendaje: quítelo,
warning-toes = los dedos se duermen o se ponen azules o fríos en una bota o un vendaje: quítelo.

## Hallazgos en palabras sencillas

found-pain_inner_ankle-itself = Duele detrás o debajo del tobillo por dentro.
found-pain_inner_ankle-pressed = Duele detrás o debajo del tobillo por dentro al apretar.
found-pain_inner_ankle-no = El tobillo no duele por dentro.
found-pain_outer-itself = Duele por el lado de fuera.
found-pain_outer-pressed = Duele por el lado de fuera al apretar.
found-pain_sole-itself = Duele la planta.
found-pain_sole-pressed = Duele la planta al apretar.
found-pain_navicular-itself = Duele en el bulto de hueso del lado de dentro.
found-pain_navicular-pressed = Duele en el bulto de hueso del lado de dentro al apretar.
found-swelling_inner-none = No hay hinchazón a lo largo del tendón.
found-swelling_inner-slight = Hay un poco de hinchazón a lo largo del tendón.
found-swelling_inner-marked = Hay una hinchazón clara a lo largo del tendón.
found-heel_line-inwards = Visto desde atrás, el talón se inclina hacia dentro.
found-heel_line-usual = Visto desde atrás, el talón está como es usual.
found-heel_line-slight = Visto desde atrás, el talón se inclina hacia fuera un poco más de lo usual.
found-heel_line-clear = Visto desde atrás, el talón se inclina claramente hacia fuera.
found-arch_standing-normal = De pie, el arco se ve normal.
found-arch_standing-lowered = De pie, el arco está bajo.
found-arch_standing-flat = De pie, el arco está plano.
found-arch_sitting-appears = Con el pie colgando, el arco aparece.
found-arch_sitting-stays_flat = Con el pie colgando, el arco sigue plano.
found-arch_on_tiptoe-appears = De puntillas, el arco aparece.
found-arch_on_tiptoe-partly = De puntillas, el arco aparece en parte.
found-arch_on_tiptoe-stays_flat = De puntillas, el arco sigue plano.
found-heel_rise_single-able = Puede ponerse de puntillas solo con esta pierna.
found-heel_rise_single-partly = Puede ponerse de puntillas solo con esta pierna, pero no del todo.
found-heel_rise_single-unable = No puede ponerse de puntillas solo con esta pierna.
found-heel_corrects-fully = El talón se puede llevar a su sitio con la mano.
found-heel_corrects-partly = El talón se puede llevar a su sitio con la mano, pero no del todo.
found-heel_corrects-not = El talón no se puede llevar a su sitio con la mano.
found-forefoot_drifts_out-yes = La parte delantera del pie se va hacia fuera.
found-forefoot_drifts_out-no = La parte delantera del pie está en línea.
found-tendon_image-sound = En la imagen, el tendón se ve sano.
found-tendon_image-inflamed = En la imagen, la vaina del tendón está inflamada; no se vio rotura.
found-tendon_image-partial_tear = En la imagen, el tendón está roto en parte.
found-tendon_image-full_tear = En la imagen, el tendón está roto del todo.
found-pulse_dorsal-strong = El pulso en el dorso del pie se nota bien.
found-pulse_dorsal-weak = El pulso en el dorso del pie es débil.
found-pulse_dorsal-absent = El pulso en el dorso del pie no se pudo notar.
found-pulse_tibial-strong = El pulso detrás del tobillo por dentro se nota bien.
found-pulse_tibial-weak = El pulso detrás del tobillo por dentro es débil.
found-pulse_tibial-absent = El pulso detrás del tobillo por dentro no se pudo notar.
found-skin_ulcer-yes = Hay una llaga o herida abierta.
found-skin_ulcer-no = No hay ninguna llaga abierta.
found-skin_infection-yes = La piel está infectada.
found-skin_fragile-yes = La piel es fina.
found-coalition_seen-yes = Se ve o se sospecha un puente entre dos huesos.

## Pasos del cuidado en palabras sencillas

step-calm-title = Reposo, frío, pierna en alto
step-calm-what = Dé descanso al tendón dolorido: paseos más cortos, sin cuestas y por ahora sin deporte.
step-calm-home = Ponga hielo envuelto en un paño de 10 a 15 minutos, varias veces al día. Ponga la pierna en alto al sentarse. Hágalo de 2 a 6 semanas.
step-calm-care = Nada de hielo en piel que no siente, ni si a la pierna le llega poca sangre.
step-wrap-title = Vendaje firme
step-wrap-what = Vendamos el pie y la pierna con una venda firme para que baje la hinchazón.
step-wrap-home = Déjelo puesto y seco. Lo cambiamos tras una semana, más o menos.
step-wrap-care = Mire los dedos esa noche y a la mañana siguiente. Si se ponen azules, fríos o dormidos, o duelen más, quítelo y llámenos.
step-boot-title = Bota para andar o yeso
step-boot-what = Una bota o un yeso deja quieto el tobillo para que el tendón se calme.
step-boot-home = Llévelo de 4 a 6 semanas, con un alza bajo el otro zapato.
step-boot-care = Con una bota es algo más probable un coágulo. Díganos si alguna vez tuvo uno. Mire la piel cada día.
step-tablets-title = Gel o pastillas para el dolor
step-tablets-what = Primero un gel sobre la piel. Pastillas, solo si su médico dice que puede tomarlas.
step-tablets-home = Tome lo menos posible, el menor tiempo posible; dos semanas como mucho antes de que volvamos a mirar.
step-tablets-care = Pregunte antes a su médico o en la farmacia si toma otras medicinas o tiene mal de corazón, riñón o estómago.
step-therapy-title = Ejercicios
step-therapy-what = Un terapeuta le enseña a fortalecer el tendón y a alargar la pantorrilla.
step-therapy-home = Gire el pie hacia dentro contra una banda y déjelo volver despacio: 3 rondas de 15, dos veces al día. Estire la pantorrilla 3 veces durante 30 segundos, dos veces al día. Lleva unas 12 semanas.
step-therapy-care = Un poco de dolor está bien, hasta 5 de 10, si al día siguiente se ha ido. El terapeuta ajusta las cantidades. Si el tendón está roto, no lo entrene hasta que lo vea un cirujano.
step-orthosis-title = Plantilla a medida
step-orthosis-what = Una plantilla con el talón hondo sostiene recto su talón desde abajo.
step-orthosis-home = Llévela 1 hora el primer día y 1 hora más cada día, hasta llevarla casi siempre que esté de pie.
step-orthosis-care = Busque cada noche zonas rojas o doloridas. No en un pie dormido ni sobre una llaga, salvo que se lo digamos.
step-hinged-afo-title = Férula de tobillo con bisagra
step-hinged-afo-what = Una férula sostiene recto el talón y aun así deja doblar el tobillo.
step-hinged-afo-home = Llévela 1 hora el primer día y 1 hora más cada día, en un zapato amplio y firme.
step-hinged-afo-care = Mire la piel cada día. Díganos si la pierna se hincha o el pie está dormido.
step-gauntlet-title = Férula de cordones
step-gauntlet-what = Una férula rígida de cuero con cordones sujeta el talón y el tobillo por todos lados.
step-gauntlet-home = Llévela 1 hora el primer día y 1 hora más cada día, en un zapato una talla más ancho.
step-gauntlet-care = Mire la piel cada día. Díganos si le cuesta atarla o el pie está dormido.
step-solid-afo-title = Férula de tobillo rígida
step-solid-afo-what = Una férula hecha con la forma de su pie impide que el tobillo se mueva.
step-solid-afo-home = Llévela 1 hora el primer día y 1 hora más cada día.
step-solid-afo-care = Mire la piel cada día. Díganos si se siente menos seguro al andar, o si ceden la rodilla o la cadera.
step-footwear-title = Buen calzado
step-footwear-what = Zapatos con talón firme, centro rígido y base ancha, con sitio para una plantilla.
step-footwear-home = Llévelos siempre fuera de casa y casi siempre en casa.
step-footwear-care = Antes de ponérselos, palpe por dentro si hay algo áspero.
step-injection-title = Infiltración
step-injection-what = Una inyección junto al tendón o en la articulación dolorida, guiada con ecografía.
step-injection-home = Después lleve una bota. Volvemos a mirar a las 6 semanas.
step-injection-care = Una inyección puede debilitar este tendón: una es lo usual y dos lo máximo. La piel puede quedar fina o pálida. Si pierde fuerza de golpe, llámenos.
step-surgery-title = Hablar con un cirujano
step-surgery-what = Pedimos su opinión a un cirujano de pie y tobillo. Eso no quiere decir que tenga que operarse.
step-surgery-home = Lleve sus radiografías y esta carta.
step-surgery-care = No fumar ayuda a curar mejor.
step-child-watch-title = Observar y esperar
step-child-watch-what = Un pie plano blando que no duele es común en los niños. No necesita plantilla ni tratamiento.
step-child-watch-home = Deje que su hijo o hija corra y juegue como siempre.
step-child-watch-care = Vuelva si empieza a doler, se pone rígido o solo un pie es plano.
step-child-help-title = Estirar, calzado firme, probar una plantilla
step-child-help-what = Estirar la pantorrilla, calzado firme y, si duele, probar una plantilla sencilla.
step-child-help-home = Estirar 3 veces durante 30 segundos, dos veces al día. La plantilla, en los zapatos de día. Tras 3 a 6 meses dejamos lo que no ayudó.
step-child-help-care = Una plantilla alivia el dolor. No forma un arco.
step-child-refer-title = Mirar más de cerca
step-child-refer-what = Pedimos radiografías hechas de pie y después la opinión de un especialista en niños.
step-child-refer-home = Si algo empeora antes, díganoslo enseguida.
step-child-refer-care = No fuerce un pie rígido dentro de una plantilla que corrige.

## Acostumbrarse a una plantilla o a una férula

title-break-in = Acostumbrarse a { $who ->
    [child] { $count ->
        [one] la nueva { $device ->
            [brace] férula
           *[insole] plantilla
        } de su hijo o hija
       *[other] las nuevas { $device ->
            [brace] férulas
           *[insole] plantillas
        } de su hijo o hija
    }
   *[adult] { $count ->
        [one] su nueva { $device ->
            [brace] férula
           *[insole] plantilla
        }
       *[other] sus nuevas { $device ->
            [brace] férulas
           *[insole] plantillas
        }
    }
}
label-device = Aparato
break-in-kind = { $kind ->
    [hinged-afo] férula de tobillo con bisagra (ortesis de tobillo y pie con bisagra)
    [solid-afo] férula de tobillo rígida (ortesis rígida de tobillo y pie)
   *[gauntlet] férula de cordones
}
break-in-invented = Esta consulta es una demostración. Nadie lleva esta { $device ->
    [brace] férula
   *[insole] plantilla
}.
break-in-start = { $count ->
    [one] { $who ->
        [child] El pie de su hijo o hija
       *[adult] Su pie
    } necesita tiempo para acostumbrarse a la nueva { $device ->
        [brace] férula
       *[insole] plantilla
    }. Llévela
   *[other] { $who ->
        [child] Los pies de su hijo o hija
       *[adult] Sus pies
    } necesitan tiempo para acostumbrarse a las nuevas { $device ->
        [brace] férulas
       *[insole] plantillas
    }. Llévelas
} cada día un poco más. Lo que le dijimos va antes que esta hoja.
heading-put-on = Cómo se pone
put-on-sock = Póngase primero un calcetín liso que llegue por encima del borde superior de la férula. Sin pliegues.
put-on-heel = Empuje el talón hasta el fondo.
put-on-close = Cierre { $kind ->
    [gauntlet] los cordones, vuelta a vuelta,
   *[other] las correas, una a una,
} desde abajo: que ajuste sin apretar.
put-on-morning = ¿Se hincha el pie? Entonces ponga la férula por la mañana, antes de que se hinche.
put-on-steps = Esta férula no deja mover el tobillo. Dé al principio pasos cortos y agárrese al pasamanos en las escaleras. Díganos si un paso se siente inseguro o la rodilla falla.
heading-hours = Cuánto tiempo cada día
break-in-usual = Es la manera usual. Viene de la práctica, no de un estudio. Vaya más despacio si hace falta: siga uno o dos días con las mismas horas.
break-in-look = Cada vez que { $who ->
    [child] su hijo o hija se la quite
   *[adult] se la quite
}, mire todo el pie, también la planta. Use un espejo o pida ayuda.
break-in-look-brace = Por la mañana y por la noche, mire la piel sobre el tobillo por dentro y por fuera, en el talón y en el arco interior{ $kind ->
    [solid-afo] , y a lo largo de la espinilla
   *[other] {""}
}.
break-in-mark-fades = Una marca roja que se va en { $minutes } minutos es usual.
break-in-stop = Quítela, no la lleve más y llámenos si encuentra
sign-blister = una ampolla o piel abierta,
sign-mark = una marca roja que sigue ahí tras { $minutes } minutos,
sign-any-mark = cualquier marca roja,
sign-numbness = dedos dormidos o con hormigueo, o que se ponen blancos o azules,
sign-new-pain = dolor nuevo en el pie, la rodilla, la cadera o la espalda, o dolor que empeora,
sign-hot-swollen = un pie caliente, rojo o hinchado, o fiebre: busque ayuda el mismo día,
sign-tight = una férula que aprieta porque la pierna se ha hinchado,
sign-crack = { $kind ->
    [orthosis] una grieta o un borde afilado en la plantilla
    [hinged-afo] una grieta, un borde afilado o una bisagra floja en la férula
   *[other] una grieta o un borde afilado en la férula
}.
children-grow-title = Los niños crecen
children-grow = Mire cada mes si la { $device ->
    [brace] férula
   *[insole] plantilla
} aún va bien al pie y al zapato. Tráigala con cada número nuevo de zapato. Una { $device ->
    [brace] férula
   *[insole] plantilla
} puede aliviar el dolor. No forma un arco.
heading-shoes-and-care = Zapatos y cuidado
device-care-shoe = { $device ->
    [brace] Llévela en un zapato de horma honda, con talón firme y una suela ancha y estable.
   *[insole] Llévela en un zapato con talón firme y con cordones o correas.
} Quite la plantilla del propio zapato si queda apretado.
device-care-feel = Palpe el zapato por dentro antes de ponérselo: ni piedras ni pliegues.
device-care-heat = Manténgala lejos del calor. No la deje en un coche caliente, en un radiador o al sol: puede perder su forma.
device-care-clean = Límpiela con un paño húmedo y jabón suave. Deje que se seque al aire.
device-care-repair = No la corte, caliente ni doble. Si roza o cruje, tráiganosla.
heading-see-again = Cuándo nos vemos de nuevo
break-in-next-visit = Su próxima visita: { $when } Traiga la { $device ->
    [brace] férula
   *[insole] plantilla
} y los zapatos.
break-in-no-date = No hay ninguna fecha anotada. Pídanos una; lo usual es { $device ->
    [brace] de una a dos semanas después de recibir la férula
   *[insole] unas dos semanas después de recibir la plantilla
}. Tráigala con sus zapatos.
break-in-call = Llámenos si algo le preocupa: { $telephone }. { $clinician } decide qué es bueno para { $who ->
    [child] su hijo o hija
   *[adult] usted
}; esta hoja no decide.
ask-for-number = pida nuestro número
label-feet = { $count ->
    [one] Pie
   *[other] Pies
}
day-number = Día { $number }
hours = { $count } { $count ->
    [one] hora
   *[other] horas
}
after-that = Después
after-days = Todo el día si piel y pie van bien; deporte y paseos largos, al final
after-days-numb = Solo el tiempo que le dijimos
head-day = Día
head-wear-at-most = Como mucho
head-hours-worn = Horas llevada
head-skin = Cómo estaba la piel
feeling-lost-title = { $who ->
    [child] Los pies de su hijo o hija
   *[adult] Sus pies
} no sienten todo lo que deberían
feeling-lost-begin = Una llaga puede empezar sin dolor. Empiece solo si se lo dijimos, y nunca vaya descalzo.
feeling-lost-lining = Lleve la férula solo si se hizo para este pie y está forrada por completo. Si no, pregúntenos antes.
feeling-lost-look = Mire los dos pies cada día, por la mañana y por la noche, mientras lleve la { $device ->
    [brace] férula
   *[insole] plantilla
}. Palpe el zapato por dentro antes de ponérselo.
feeling-lost-stop = Pare con la primera marca. No espere al dolor.
numb-feet-title = Pies dormidos
numb-feet = Si { $who ->
    [child] los pies de su hijo o hija
   *[adult] sus pies
} están dormidos, o sienten menos, díganoslo antes de empezar. Mire entonces los dos pies cada día: una llaga puede empezar sin dolor.
feeling-not-recorded = No hemos anotado cuánto sienten los pies. Pregúntenos.

## El pedido de una plantilla

title-order = Pedido { $code }: plantilla, { $side ->
    [left] pie izquierdo
   *[right] pie derecho
}
order-invented = Esta consulta es una demostración: paciente, pie y pedido son inventados. No fabrique nada con esta hoja.
order-foot = Pedido { $code }, paciente { $patient }, { $side ->
    [left] pie izquierdo
   *[right] pie derecho
}.
label-order = Pedido
label-patient-code = Código del paciente
label-product = Producto
product-shell = plantilla para imprimir
product-positive = positivo corregido, para conformar una lámina encima
made-of-caption = Para qué y de qué se hace
label-foot-length = Largo del { $side ->
    [left] pie izquierdo
   *[right] pie derecho
}
label-surface = Superficie
label-material = Material
label-post-material = Material de la cuña
order-differs-title = El archivo no es lo que se pidió: no lo fabrique hasta que se aclare
order-differs-asked = { $found }, se pidió { $asked }
solids-caption = Sólidos del archivo
head-solid = Sólido
head-volume = Volumen
head-mass = Masa
order-together = En total
order-look-twice = Para mirar dos veces
order-no-strength-title = Resistencia sin calcular
order-no-strength = Nadie ha calculado cuánto se dobla esta plantilla ni si durará.
strength-caption = Resistencia con { $weight } kg; el arco cede { $flattening } con el peso del cuerpo
strength-below = { $safety }, por debajo de { $least }
strength-stiffness = Rigidez: { $stiffness }. Entre paréntesis: en la banda de esa rigidez. Seguridad: cuántas veces podría crecer la tensión hasta llegar a la admisible.
strength-left-out = No incluido: { $what }
head-load-case = Caso de carga
head-load = Carga
head-bends-free = Flexión, borde delantero libre
head-bends-held = Flexión, borde delantero sujeto
head-safety-free = Seguridad, libre
head-safety-held = Seguridad, sujeto
order-no-file-title = Ningún archivo acompaña a esta hoja
order-no-file = Las medidas que hay en ella son las que se pidieron, no las de un archivo.
files-caption = Archivos de este pedido. No fabrique nada de uno cuyo código no coincida.
head-file = Archivo
head-hash = SHA-256
order-signed = Firmado: { $when }
order-sign-here = Firma y día:
order-by = Pedido por { $clinician }.
dimensions-caption = Qué se pide y qué se midió de nuevo en el archivo escrito
head-dimension = Medida
head-asked-for = Se pide
head-in-the-file = En el archivo
in-the-surface = en la superficie
asked-not = No se pide: { $parts }.
asked-differs = { $value }, difiere
asked-edges = Bordes
asked-edge-rounding = Redondeo de todo borde libre
asked-corrections = Correcciones del positivo
asked-inner-raised = { $angle }°, lado interno alto
asked-outer-raised = { $angle }°, lado externo alto
asked-level = 0°, a nivel
asked-long-axis = sobre el eje largo
asked-oblique-axis = sobre un eje que sube { $rise } y gira { $inward } hacia dentro
asked-inversion = Inversión del retropié
asked-inversion-absent = inversión del retropié
asked-balance = Equilibrio del antepié
asked-balance-absent = equilibrio del antepié
asked-fill = Relleno del arco
asked-fill-minimal = mínimo
asked-fill-standard = normal
asked-fill-maximal = máximo
asked-skive-depth = Rebaje medial del talón, profundidad
asked-skive-angle = Rebaje medial del talón, ángulo
asked-skive-clipped = { $depth }, solo la mitad interna
asked-skive-absent = rebaje medial del talón
asked-expansion = Ensanche del talón, los dos lados juntos
asked-expansion-absent = ensanche del talón
asked-groove = Surco para la fascia plantar
asked-groove-size = { $depth } de hondo, { $width } de ancho
asked-groove-absent = surco para la fascia plantar
asked-relief = Descarga del navicular
asked-relief-size = { $depth } de hondo, radio { $radius }
asked-relief-forward = { $shift } hacia delante
asked-relief-upward = { $shift } hacia arriba
asked-relief-absent = descarga del navicular
asked-first-ray = Recorte del primer radio
asked-first-ray-absent = recorte del primer radio
asked-shell = Cuerpo
asked-thickness = Grosor, en todas partes
asked-thickness-arch = Grosor en el arco
asked-thickness-rest = Grosor en el resto
asked-heel-cup = Copa del talón, profundidad
asked-front-edge = Borde delantero tras las cabezas metatarsales
asked-inner-rim = Borde interno en el navicular
asked-outer-rim = Borde externo en el navicular
asked-flange = ala, { $height }
asked-no-flange = sin ala
asked-trim = Línea de corte movida en la posición { $station }
asked-trim-inward = { $shift } mm hacia dentro
asked-trim-outward = { $shift } mm hacia fuera
asked-rearfoot-post = Cuña del retropié
asked-rearfoot-post-absent = cuña del retropié
asked-forefoot-post = Cuña del antepié
asked-forefoot-post-absent = cuña del antepié
asked-angle = Ángulo
asked-rear-length = Largo desde el borde trasero
asked-front-length = Largo desde el borde delantero
asked-bevel = Bisel de sus lados
asked-heel-lift = Alza del talón
asked-made-as = Se hace como
asked-own-solid = un sólido aparte
asked-one-piece = una pieza con el cuerpo
asked-shoe = Interior del zapato
asked-shoe-heel = Ancho en el talón
asked-shoe-ball = Ancho en el metatarso
asked-shoe-toes = Altura sobre los dedos
asked-as-it-comes-out = Tal como resulta

## Qué se probó y qué ha cambiado

given-caption = Qué se probó, cuánto tiempo y con qué resultado
given-none = No consta qué se probó antes.
given-goes-on = sigue
given-at-check = Revisado el { $day }: { $found }
given-injection = Infiltración
given-boot = Bota o yeso
given-wrap = Vendaje
given-medicine = Medicamento
given-therapy = Programa de ejercicios
given-device = Ortesis o calzado
given-operation = Operación
given-check = Revisión
head-treatment = Tratamiento
head-began = Inicio
head-ended = Fin
head-result = Resultado
change-caption = Antes y ahora; una diferencia dentro del error de medida no es un cambio
head-measure = Qué
head-then = Antes
head-now = Ahora
head-change = Qué se puede decir
change-by = Ha cambiado en { $by }.
change-changed = Ha cambiado.
change-none-by = No se muestra cambio: la diferencia es de { $by }.
change-none = No se muestra cambio.
change-cannot-tell = No se puede decir.
change-as-then = Como estaba.
change-why-view = Las radiografías lo muestran desde lados distintos.
change-why-stance = Una se hizo de pie y la otra no, o no consta.
change-why-worn = No las dos se hicieron con el pie descalzo, o no consta.
change-why-method = Se midieron de dos maneras.
change-why-scale = Sus escalas se obtuvieron de dos maneras, o no se conocen.
change-why-two-readers = Las leyeron dos personas, y no se sabe cuánto difieren.
change-why-unknown-reader = No se sabe quién leyó una de ellas.
change-why-no-yard = No se sabe aquí qué diferencia produce el error por sí solo.
change-matters = Bastante grande para que importe, según { $of ->
    [one] el tamaño publicado.
   *[other] los { $of } tamaños publicados.
}
change-matters-some = Bastante grande para que importe según { $by } de { $of } tamaños publicados.
change-matters-not = Menor que todos los tamaños publicados que importan.
change-matters-not-known = Ninguna fuente dice desde qué tamaño importa.
change-smallest = Es más que error a partir de { $smallest }.

heading-since = Desde entonces
since-line = { $what }: { $then } el { $day }, { $now } ahora.
since-changed = Esto ha cambiado.
since-same = Sigue más o menos igual: una diferencia tan pequeña puede venir de la medida.
since-cannot-tell = Las dos no se pueden comparar.
since-number = {""}
since-small = Es menos de lo que la gente notó en los estudios.
since-as-then = Como estaba.
since-matters-some = En algunos estudios la gente notó un cambio así.
since-matters = En los estudios la gente notó un cambio así.

## La carta al terapeuta

title-therapist = Terapia: hallazgos, metas, programa y límites
therapist-thanks = Gracias por tratar a esta persona. Aquí consta lo que se halló y se decidió; cuánto conviene cada día lo juzga usted.
therapist-stage = estadio { $stage } del tendón que cede.
therapist-stage-decided = estadio decidido por el profesional clínico: { $stage }.
therapist-stage-open = el estadio está sin decidir.
therapist-alarm-first = primero va el signo de alarma de arriba; ningún programa se apoya en un estadio hasta que se resuelva.
heading-goals = Metas
goal-own = Quiere volver a hacer: { $words }
goals-none = No consta ninguna meta.
heading-programme = Programa y qué está permitido
programme-step = { $foot }, { $step }:
programme-none = No consta ningún programa.
programme-adapt = Las cantidades son para empezar; el terapeuta las ajusta a la persona. Si una dosis se recuerda de un ensayo y está sin confirmar, lo dice su advertencia más abajo.
not-to-do-title = Qué no debe hacerse, y por qué
not-because = Por qué: { $why }
not-before-known = no antes de saber { $check }.
not-without-asking = pregúntenos antes: algo se halló sobre la cuestión de { $check }.
not-to-do-none = No consta nada que no deba hacerse. Eso no quiere decir que no haya nada en contra.
heading-look-again = Cuándo volver a mirar
look-of-step = { $step }, { $when }: { $what }
head-exercise = Ejercicio
head-amount = Cuánto

## La carta al cirujano

title-surgeon = Pie plano colapsado: una pregunta al cirujano
heading-question = Qué preguntamos
question-none = No hay ninguna pregunta escrita. Escríbala aquí antes de firmar esta carta.
heading-tried = Qué se probó
injections = Infiltraciones de corticoide en este tobillo hasta ahora: { $count }.
injections-logged = Infiltraciones de corticoide anotadas aquí, en los dos pies: { $count }; de las anteriores no consta nada.
injections-not-recorded = Infiltraciones de corticoide en este tobillo hasta ahora: no consta.
heading-change = Cambios con el tiempo
heading-risks = Riesgos que constan
risk-weight = peso { $weight }
risks-there = Consta: { $risks }.
risks-absent = Preguntado y no presente: { $risks }.
risks-open = No consta: { $risks }.

## La carta a quien hace una férula

title-lab = Férula: pedido y medidas
heading-brace = Qué se pide
brace-no-order-title = No hay ningún pedido escrito
brace-no-order = Escriba aquí qué debe hacerse, para qué lado y de qué, antes de firmar esta carta. No fabrique nada con ella tal como está.
brace-shoe = Calzado en el que debe caber: más profundo, contrafuerte firme, base ancha y estable; suela en balancín si es rígida (práctica común, sin confirmar).
brace-break-in = Para acostumbrarse: una hora el primer día y una hora más cada día (práctica común, sin confirmar).
brace-looks = Miramos piel, ajuste y horas tras 1 a 2 semanas y a las 6 semanas; guarde el modelo hasta entonces, por favor.
legs-none-title = Ninguna pierna está medida
legs-none = Mida la pierna en su propia página antes de enviar esto. No fabrique nada con ella tal como está.
making-caption = Qué se halló en el pie
legs-caption = Medidas tomadas
leg-level = { $name }: { $round } de contorno, a { $up } de altura
leg-level-bare = { $name }, a { $up } de altura
leg-at-ankle = tobillo
leg-at-calf = pantorrilla
leg-below-knee = bajo la rodilla
leg-free = dejar libre: { $size }
leg-free-place = a { $heel } del talón y { $up } de altura
leg-free-size = { $long } de largo, { $high } de alto
leg-free-out = sobresale { $out }
leg-drawing = { $side ->
    [left] Pierna izquierda
   *[right] Pierna derecha
} por el lado interno, según sus medidas
leg-inner-ankle = tobillo interno
leg-outline-only = Solo el contorno: no consta el largo del pie.
leg-nothing = todavía nada medido
legs-how = Contornos y anchos sobre la piel, de pie, con la cinta apoyada sin tirar. Una medida que falta se pregunta, no se adivina.
brace-caution = Pare y pregunte si una medida, un lado o la forma no encajan con lo hallado. Un pie que no siente necesita forro completo y ningún borde duro.

## Notas para la escuela o la empresa

title-note = { $to ->
    [school] Nota para la escuela
   *[employer] Nota para la empresa
}
label-about = Sobre
note-nothing-title = Todavía no se puede contar nada
note-nothing = No consta qué se puede contar. Pregunte, anótelo y redacte esta nota de nuevo.
note-agreed = Lo que dice aquí se puede contar. De acuerdo: { $agreed }.
note-agreed-by-nobody = No consta quién dio su acuerdo a esta nota. Pregunte antes de entregarla.
note-reason = Motivo, en las palabras acordadas: { $reason }
note-no-reason = No se da ningún motivo, y esta nota no lo necesita.
heading-can = Qué va bien
heading-cannot = Qué no debe hacerse por ahora
heading-needs = Qué ayuda
note-until = Esto vale hasta el { $until }
note-no-end = No consta hasta cuándo vale. Pregúntenos.
note-more = No contamos a nadie más que esto sin permiso. Pregunte a la persona, no a nosotros.

## Ejercicios en casa

title-home = { $who ->
    [child] Ejercicios en casa para su hijo o hija
   *[adult] Sus ejercicios en casa
}
home-none = No hay ejercicios anotados. Pregúntenos antes de empezar alguno.
home-start = { $who ->
    [child] Haga estos ejercicios con su hijo o hija. Vaya despacio y pare cuando sea demasiado.
   *[adult] Haga estos ejercicios despacio y pare cuando sea demasiado.
}
home-pain-title = ¿Cuánto puede doler?
home-pain = Un poco de dolor está bien, hasta { $limit } de 10, si al día siguiente se ha ido.{ $who ->
    [child] {""} Pregunte a su hijo o hija.
   *[adult] {""}
}
home-stop = Si duele más, o aún duele al día siguiente, haga menos. Si aun así empeora, pare y llámenos.
home-ask = { $who ->
    [child] Si su hijo o hija cojea, ningún ejercicio hasta que lo hayamos visto.
   *[adult] Si nota un chasquido, o el tendón está roto, ningún ejercicio hasta que lo hayamos visto.
}
amount-sets-of = { $sets } { $sets ->
    [one] ronda
   *[other] rondas
} de { $times }
amount-sets = { $sets } { $sets ->
    [one] ronda
   *[other] rondas
}
amount-times = { $times } { $times ->
    [one] vez
   *[other] veces
}
amount-hold = aguantar { $seconds } { $seconds ->
    [one] segundo
   *[other] segundos
}
amount-metres = { $metres } { $metres ->
    [one] metro
   *[other] metros
}
amount-a-day = { $times ->
    [1] una vez al día
    [2] dos veces al día
   *[other] { $times } veces al día
}
amount-in-a-day = { $amount } al día
exercises-care = Algo de dolor está bien, hasta { $limit } de 10, si al día siguiente se ha ido. Si el tendón está roto, no lo entrene antes de que lo vea un cirujano.
amount-load = con { $load }
head-done = Hecho
head-pain = Dolor, 0 a 10
head-next-morning = A la mañana siguiente
exercise-band-in-and-down = Girar el pie hacia dentro y abajo contra una banda
exercise-band-in-and-down-how = Ate la banda a algo firme por el lado de fuera. Estire la punta del pie. Gire la planta hacia dentro y abajo contra la banda. Luego deje que vuelva despacio.
exercise-band-in-and-down-alt = Dibujo visto desde arriba: una banda está atada a un poste por el lado de fuera y rodea la parte delantera del pie; el pie gira hacia dentro contra ella.
exercise-calf-stretch = Estirar la pantorrilla con el talón recto
exercise-calf-stretch-how = Apóyese en una pared con una pierna detrás. Mantenga recta esa rodilla y el talón en el suelo. Ponga un paño doblado bajo el lado de dentro del pie para que el talón siga recto.
exercise-calf-stretch-alt = Dibujo de perfil: una persona se apoya en una pared con las dos manos, una pierna doblada delante y la otra recta detrás con el talón apretado contra el suelo.
exercise-heel-rise = Ponerse de puntillas
exercise-heel-rise-how = Agárrese a una pared. Suba el talón despacio todo lo que pueda y baje despacio.
exercise-heel-rise-alt = Dibujo de perfil: una persona de pie sobre una pierna junto a una pared, con una mano en ella, levanta el talón del suelo.
exercise-toe-walk = Andar de puntillas
exercise-toe-walk-how = Ande despacio con los dos talones levantados. Agárrese a algo si hace falta.
exercise-toe-walk-alt = Dibujo de perfil: una persona anda con los dos talones levantados del suelo.

## Respuestas que cambian según su pregunta

choice-subtalar_motion-none = ninguno
    .en = none
## Preguntas del formulario: persona e historia

ask-age_years = Edad
    .en = Age
ask-sex = Sexo según lo usan las referencias
    .en = Sex as the yardsticks use it
ask-weight_kg = Peso
    .en = Weight
ask-height_cm = Estatura
    .en = Height
ask-puberty_done = Pasada la pubertad
    .en = Past puberty
ask-pregnancy = Embarazo
    .en = Pregnancy
ask-complaint = Qué le molesta más
    .en = What troubles them most
ask-duration_weeks = Desde hace cuánto
    .en = For how long
ask-onset = Cómo empezó
    .en = How it began
ask-course = Cómo evoluciona
    .en = Where it is going
ask-trauma = Lesión de este pie o tobillo antes de empezar
    .en = Injury to this foot or ankle before it began
ask-medial_surgery = Cirugía anterior en el tobillo interno
    .en = Earlier surgery at the inner ankle
ask-tried = Qué se ha probado, cuánto tiempo y con qué resultado
    .en = What has been tried, how long, with what result
ask-tried_weeks = Semanas de tratamiento constante hasta ahora
    .en = Weeks of steady treatment so far
ask-goal = Qué quiere volver a hacer
    .en = What they want to do again
ask-plays_like_others = Corre y salta como otros de su edad
    .en = Runs and jumps as others of that age do
ask-tires_early = Se cansa pronto o pide que le lleven en brazos
    .en = Tires early or asks to be carried
ask-poor_skills = Torpe para su edad
    .en = Clumsy for the age
ask-weight_high_for_age = Peso muy por encima de lo propio de su edad y estatura
    .en = Weight well above the range for age and height
ask-family_flat = Pies planos en la familia
    .en = Flat feet in the family
ask-inflammatory_disease = Enfermedad articular inflamatoria, ya conocida
    .en = Inflammatory joint disease, already known
ask-psoriasis = Psoriasis
    .en = Psoriasis
ask-diabetes = Diabetes
    .en = Diabetes
ask-diabetes_uncontrolled = Azúcar mal controlado actualmente
    .en = Sugar badly controlled at present
ask-known_neuropathy = Pérdida conocida de sensibilidad en los pies
    .en = Known loss of feeling in the feet
ask-earlier_foot_ulcer = Úlcera del pie o amputación anterior
    .en = Earlier foot ulcer or amputation
ask-end_stage_kidney = Enfermedad renal terminal
    .en = End-stage kidney disease
ask-high_blood_pressure = Tensión alta
    .en = High blood pressure
ask-heart_failure = Insuficiencia cardíaca
    .en = Heart failure
ask-liver_failure = Enfermedad hepática grave
    .en = Severe liver disease
ask-kidney_disease = Enfermedad renal moderada o grave
    .en = Kidney disease, moderate or severe
ask-stomach_ulcer_now = Úlcera de estómago o intestino, activa
    .en = Stomach or gut ulcer, active
ask-stomach_ulcer_before = Úlcera o sangrado de estómago o intestino, anterior
    .en = Stomach or gut ulcer or bleeding, earlier
ask-asthma = Asma que empeora con antiinflamatorios
    .en = Asthma made worse by anti-inflammatory tablets
ask-infection_now = Alguna infección actual
    .en = An infection anywhere at present
ask-paste_allergy = Alergia a la pasta de zinc, la lanolina o los conservantes
    .en = Allergy to zinc paste, wool fat or preservatives
ask-nicotine = Nicotina
    .en = Nicotine
ask-hands_weak = Manos demasiado débiles o rígidas para cordones y correas
    .en = Hands too weak or stiff for laces and straps
ask-takes_steroid = Corticoides en pastillas
    .en = Steroid tablets
ask-steroid_injections_here = Infiltraciones de corticoide en este tobillo hasta ahora
    .en = Steroid injections at this ankle so far
ask-takes_anticoagulant = Anticoagulante
    .en = Blood thinner
ask-takes_aspirin = Aspirina
    .en = Aspirin
ask-takes_ssri = Antidepresivo de tipo serotonina
    .en = Antidepressant of the serotonin kind
ask-takes_ace_or_arb = Inhibidor de la ECA o bloqueador de la angiotensina
    .en = ACE inhibitor or angiotensin blocker
ask-takes_diuretic = Diuréticos
    .en = Water tablets
ask-takes_nsaid = Antiinflamatorios actualmente
    .en = Anti-inflammatory tablets now
ask-medicines_other = Otros medicamentos
    .en = Other medicines
ask-laxity_little_finger_left = El meñique izquierdo se dobla hacia atrás 90° o más
    .en = Left little finger bends back to 90° or more
ask-laxity_little_finger_right = El meñique derecho se dobla hacia atrás 90° o más
    .en = Right little finger bends back to 90° or more
ask-laxity_thumb_left = El pulgar izquierdo llega al antebrazo
    .en = Left thumb reaches the forearm
ask-laxity_thumb_right = El pulgar derecho llega al antebrazo
    .en = Right thumb reaches the forearm
ask-laxity_elbow_left = El codo izquierdo se estira más de 10°
    .en = Left elbow straightens past 10°
ask-laxity_elbow_right = El codo derecho se estira más de 10°
    .en = Right elbow straightens past 10°
ask-laxity_knee_left = La rodilla izquierda se estira más de 10°
    .en = Left knee straightens past 10°
ask-laxity_knee_right = La rodilla derecha se estira más de 10°
    .en = Right knee straightens past 10°
ask-laxity_palms = Palmas en el suelo con las rodillas rectas
    .en = Palms flat on the floor, knees straight
ask-laxity_history = De cinco preguntas sobre laxitud anterior, cuántos síes
    .en = Of five questions about earlier looseness, how many yes

## Preguntas de alarma

ask-fever = Fiebre o escalofríos
    .en = Fever or shivering
ask-cannot_bear_weight = No puede apoyar el peso
    .en = Cannot put weight on it
ask-hot_red_swollen = Pie o tobillo caliente, rojo e hinchado
    .en = Foot or ankle hot, red and swollen
ask-severe_local_pain = Dolor fuerte en un punto
    .en = Severe pain at one spot
ask-sudden_collapse = Un chasquido, un corte, o el arco perdido de un día para otro
    .en = A pop, a cut, or the arch gone from one day to the next
ask-rest_pain = Dolor del pie en reposo que alivia al colgar la pierna
    .en = Foot pain at rest, eased by hanging the leg down
ask-dvt_cancer = Cáncer, activo o tratado en los últimos seis meses
    .en = Cancer, active or treated within six months
ask-dvt_cast = Pierna paralizada o hace poco con yeso o bota
    .en = Leg paralysed or lately in a cast or boot
ask-dvt_bed = Más de tres días en cama, o cirugía mayor reciente
    .en = In bed more than three days, or major surgery lately
ask-dvt_tender = Dolor a lo largo de las venas profundas
    .en = Tender along the deep veins
ask-dvt_whole_leg = Toda la pierna hinchada
    .en = Whole leg swollen
ask-dvt_calf = Pantorrilla más de 3 cm más gruesa que la otra
    .en = Calf more than 3 cm thicker than the other
ask-dvt_pitting = Queda la huella al apretar, más en esta pierna
    .en = Dent stays after pressing, worse on this leg
ask-dvt_collateral = Venas superficiales marcadas, no varices
    .en = Veins of the surface stand out, not varicose
ask-dvt_before = Coágulo anterior en una pierna
    .en = Earlier clot in a leg
ask-dvt_other_likely = Otra cosa lo explica igual de bien
    .en = Something else explains it as well
ask-night_pain = Dolor que despierta de noche, haga lo que haga de día
    .en = Pain that wakes them at night whatever they did by day
ask-mass = Un bulto
    .en = A lump
ask-weight_loss = Pierde peso sin proponérselo
    .en = Losing weight without trying
ask-new_weakness = Debilidad nueva en las dos piernas
    .en = New weakness in both legs
ask-spasticity = Piernas rígidas, bruscas o que se cruzan
    .en = Stiff, jerky or scissoring legs
ask-foot_drop = El pie cae, los dedos tropiezan
    .en = Foot drops, toes catch
ask-morning_stiffness = Rigidez de media hora o más por la mañana
    .en = Stiff for half an hour or more in the morning
ask-several_joints = Varias articulaciones duelen o se hinchan
    .en = Several joints hurt or swell
ask-both_tendons_swollen = Vainas tendinosas hinchadas en los dos lados, persona joven
    .en = Tendon sheaths swollen on both sides, younger person
ask-crps_disproportionate = Dolor muy superior a lo que explica el pie
    .en = Pain far beyond what the foot explains
ask-crps_symptom_groups = De cuatro grupos, de cuántos se queja
    .en = Of four groups, how many complained of
ask-crps_sign_groups = De los mismos cuatro grupos, cuántos se ven
    .en = Of the same four groups, how many seen
ask-crps_nothing_better = Nada lo explica mejor
    .en = Nothing else explains it better
ask-skills_lost = Ha perdido habilidades o fuerza que tenía
    .en = Skills or strength once had are lost
ask-reflexes_changed = Reflejos vivos o ausentes
    .en = Reflexes brisk or absent
ask-was_high_arched = Antes tenía el arco alto
    .en = Used to have a high arch
ask-rocker_at_birth = Planta redondeada como una mecedora desde el nacimiento
    .en = Sole rounded like a rocker since birth
ask-new_on_one_side = Nuevo, o solo en un lado
    .en = New, or on one side only

## Preguntas del pie

ask-pain_level = Dolor en su peor momento de esta semana
    .en = Pain at its worst this week
ask-pain_inner_ankle = Dolor detrás o debajo del tobillo interno
    .en = Pain behind or below the inner ankle
ask-pain_navicular = Dolor en la tuberosidad del navicular
    .en = Pain at the navicular tuberosity
ask-pain_sole = Dolor en la planta
    .en = Pain in the sole
ask-pain_outer = Dolor en el lado externo, seno del tarso
    .en = Pain at the outer side, sinus tarsi
ask-pain_under_fibula = Dolor bajo la punta del maléolo externo
    .en = Pain under the tip of the outer malleolus
ask-pain_ankle_joint = Dolor en la línea articular del tobillo
    .en = Pain in the ankle joint line
ask-pain_midfoot_joints = Dolor en las articulaciones del mediopié
    .en = Pain in the joints of the midfoot
ask-swelling_inner = Hinchazón a lo largo del tendón
    .en = Swelling along the tendon
ask-swelling_leg = Hinchazón de pie y pierna
    .en = Swelling of foot and leg
ask-toes_seen = Dedos que se ven desde atrás por el lado externo
    .en = Toes seen from behind on the outer side
ask-heel_line = Talón visto desde atrás
    .en = Heel seen from behind
ask-heel_angle_deg = Ángulo del talón, hacia fuera con más
    .en = Heel angle, outwards plus
ask-arch_standing = Arco de pie
    .en = Arch when standing
ask-arch_sitting = Arco sentado, con el pie colgando
    .en = Arch when sitting, foot hanging
ask-arch_on_tiptoe = Arco de puntillas
    .en = Arch on tiptoe
ask-forefoot_drifts_out = El antepié se desvía hacia fuera
    .en = Forefoot drifts outwards
ask-sides_differ = Claramente más plano que el otro pie
    .en = Clearly flatter than the other foot
ask-great_toe_test = Levantar el dedo gordo estando de pie
    .en = Lifting the great toe while standing
ask-heel_rise_single = Elevación sobre un talón
    .en = Single heel rise
ask-heel_rise_turns_in = El talón gira hacia dentro al subir
    .en = Heel turns inwards as it rises
ask-heel_rise_count = Elevaciones sobre un talón
    .en = Single heel rises
ask-heel_rise_height_cm = Altura de la mejor elevación
    .en = Height of the best rise
ask-heel_rise_pain = Dolor durante la elevación
    .en = Pain during the rise
ask-heel_rise_stopped_by = Por qué terminó
    .en = What ended it
ask-heel_rise_double = Elevación sobre los dos talones
    .en = Double heel rise
ask-heel_rise_double_turns_in = Este talón gira hacia dentro en la elevación doble
    .en = This heel turns inwards in the double rise
ask-heel_rise_double_count = Elevaciones sobre los dos talones
    .en = Double heel rises
ask-first_metatarsal_rise = Cabeza del primer metatarsiano al girar el talón hacia dentro
    .en = First metatarsal head when the heel is turned inwards
ask-heel_corrects = Talón llevado a neutro con la mano
    .en = Heel brought to neutral by hand
ask-forefoot_varus = Antepié levantado por dentro con el talón en neutro
    .en = Forefoot turned up once the heel is held neutral
ask-forefoot_varus_corrects = El antepié levantado baja con la mano
    .en = The turned-up forefoot comes down by hand
ask-forefoot_varus_left_deg = Varo del antepié que queda
    .en = Forefoot varus that is left
ask-forefoot_drift_corrects = Antepié llevado a su línea con la mano
    .en = Forefoot brought back in line by hand
ask-subtalar_motion = Movimiento entre talón y astrágalo
    .en = Motion between heel and talus
ask-first_ray = Primer radio, arriba y abajo
    .en = First ray, up and down
ask-supination_lag = Los dos pies girados hacia dentro, tumbado
    .en = Both feet turned in, lying
ask-ankle_tilt_seen = El propio tobillo se inclina hacia fuera
    .en = Ankle itself tilts outwards
ask-ankle_tilt_corrects = La inclinación del tobillo se corrige con la mano
    .en = Ankle tilt corrects by hand
ask-deltoid_lax = El ligamento interno del tobillo cede
    .en = Inner ankle ligament gives way
ask-impinges_sinus_tarsi = Girar el pie hacia fuera pinza en el seno del tarso
    .en = Turning the foot outwards pinches at the sinus tarsi
ask-impinges_under_fibula = Girar el pie hacia fuera pinza bajo el peroné
    .en = Turning the foot outwards pinches under the fibula
ask-tp_strength = Fuerza del tibial posterior
    .en = Strength of the tibialis posterior
ask-dorsiflexion_straight_deg = Flexión dorsal del tobillo, rodilla recta
    .en = Ankle lift, knee straight
ask-dorsiflexion_bent_deg = Flexión dorsal del tobillo, rodilla doblada
    .en = Ankle lift, knee bent
ask-navicular_drop_mm = Descenso del navicular
    .en = Navicular drop
ask-arch_index_standing = Índice del arco, huella de pie
    .en = Arch index, standing print
ask-arch_index_walking = Índice del arco, huella al andar
    .en = Arch index, walking print
ask-chippaux_smirak_standing = Índice de Chippaux-Smirak, huella de pie
    .en = Chippaux-Smirak index, standing print
ask-staheli_index_standing = Índice de Staheli, huella de pie
    .en = Staheli index, standing print
ask-clarke_angle_standing = Ángulo de Clarke, huella de pie
    .en = Clarke angle, standing print
ask-excursion_index_walking = Excursión del recorrido de la presión, al andar
    .en = Excursion of the path of pressure, walking
ask-navicular_height_mm = Altura del navicular, de pie
    .en = Navicular height, standing
ask-navicular_height_truncated = Altura del navicular entre la longitud hasta la primera articulación
    .en = Navicular height over length to the first joint
ask-navicular_height_foot = Altura del navicular entre la longitud del pie
    .en = Navicular height over foot length
ask-arch_height_index_standing = Índice de altura del arco, de pie
    .en = Arch height index, standing
ask-pulse_dorsal = Pulso en el dorso del pie
    .en = Pulse on the back of the foot
ask-pulse_tibial = Pulso detrás del tobillo interno
    .en = Pulse behind the inner ankle
ask-ankle_brachial_index = Índice tobillo-brazo
    .en = Ankle-brachial index
ask-foot_colour = Color
    .en = Colour
ask-foot_warmth = Calor a la mano
    .en = Warmth by hand
ask-temperature_difference_c = Temperatura de la piel por encima del otro pie
    .en = Skin temperature above the other foot
ask-filament_great_toe = Filamento de 10 g, dedo gordo
    .en = 10 g filament, great toe
ask-filament_mt1 = Filamento de 10 g, cabeza del primer metatarsiano
    .en = 10 g filament, first metatarsal head
ask-filament_mt5 = Filamento de 10 g, cabeza del quinto metatarsiano
    .en = 10 g filament, fifth metatarsal head
ask-skin_ulcer = Úlcera o herida abierta
    .en = Ulcer or open wound
ask-skin_infection = Enrojecimiento que se extiende o infección de la piel
    .en = Spreading redness or infection of the skin
ask-skin_weeping = Eccema que supura
    .en = Weeping eczema
ask-skin_fragile = Piel fina o frágil
    .en = Thin or fragile skin
ask-skin_callus_medial = Piel dura bajo el navicular o la cabeza del astrágalo
    .en = Hard skin under the navicular or talar head
ask-tendon_image = Tendón en ecografía o resonancia
    .en = Tendon on ultrasound or MRI
ask-tmt_gap = La articulación tarsometatarsiana primera o naviculocuneiforme se abre por la planta
    .en = First tarsometatarsal or naviculocuneiform joint gaps at the sole
ask-subtalar_subluxed = El astrágalo se desliza fuera del calcáneo
    .en = Talus slides off the heel bone
ask-coalition_seen = Puente óseo o fibroso visto o sospechado
    .en = Bony or fibrous bridge seen or suspected
ask-accessory_navicular = Hueso de más en el navicular
    .en = Extra bone at the navicular
ask-plafond_loss = Superficie articular externa de la tibia gastada con pérdida de hueso
    .en = Outer tibial joint surface worn down to bone loss
ask-wear_ankle = Desgaste del tobillo
    .en = Wear of the ankle
ask-wear_subtalar = Desgaste de la articulación subtalar
    .en = Wear of the subtalar joint
ask-wear_talonavicular = Desgaste de la articulación talonavicular
    .en = Wear of the talonavicular joint
ask-wear_calcaneocuboid = Desgaste de la articulación calcaneocuboidea
    .en = Wear of the calcaneocuboid joint
ask-wear_naviculocuneiform = Desgaste de la articulación naviculocuneiforme
    .en = Wear of the naviculocuneiform joint
ask-wear_first_tarsometatarsal = Desgaste de la primera articulación tarsometatarsiana
    .en = Wear of the first tarsometatarsal joint
ask-wear_lesser_tarsometatarsal = Desgaste de las demás articulaciones tarsometatarsianas
    .en = Wear of the lesser tarsometatarsal joints
ask-foot_remarks = Algo más sobre este pie
    .en = Anything else about this foot
ask-posture_talar_head = Cabeza del astrágalo, palpada por los dos lados
    .en = Head of the talus, felt from both sides
ask-posture_malleolar_curves = Curva sobre el maléolo externo frente a la de debajo
    .en = Curve above the outer malleolus against the curve below it
ask-posture_heel = Talón
    .en = Heel
ask-posture_bulge = Piel sobre la articulación talonavicular
    .en = Skin over the talonavicular joint
ask-posture_arch = Forma del arco interno
    .en = Shape of the inner arch
ask-posture_forefoot = Antepié visto desde detrás del talón
    .en = Forefoot seen from behind the heel

## Respuestas

said-measured = medido
    .en = measured
said-measured-otherwise-and-the-answer-given-is-used = medido de otro modo y se usa la respuesta dada
    .en = measured otherwise and the answer given is used
said-yes = sí
    .en = yes
said-no = no
    .en = no
said-female = mujer
    .en = female
said-male = hombre
    .en = male
said-not-pregnant = sin embarazo
    .en = not pregnant
said-before-week-n = antes de la semana { $n1 }
    .en = before week #
said-week-n-to-n = semana { $n1 } a { $n2 }
    .en = week # to #
said-after-week-n = después de la semana { $n1 }
    .en = after week #
said-crept-in = poco a poco
    .en = crept in
said-from-one-day-to-the-next = de un día para otro
    .en = from one day to the next
said-after-an-injury = tras una lesión
    .en = after an injury
said-as-long-as-anybody-remembers = desde que se recuerda
    .en = as long as anybody remembers
said-getting-better = va mejorando
    .en = getting better
said-much-the-same = casi igual
    .en = much the same
said-getting-worse = va empeorando
    .en = getting worse
said-when-pressed = al apretar
    .en = when pressed
said-by-itself = por sí mismo
    .en = by itself
said-none = ninguna
    .en = none
said-slight = leve
    .en = slight
said-marked = marcada
    .en = marked
said-leans-inwards = inclinado hacia dentro
    .en = leans inwards
said-straight-or-as-usual = recto o como es usual
    .en = straight or as usual
said-a-little-more-outwards-than-usual = un poco más hacia fuera de lo usual
    .en = a little more outwards than usual
said-clearly-outwards = claramente hacia fuera
    .en = clearly outwards
said-normal = normal
    .en = normal
said-lowered = bajo
    .en = lowered
said-flat = plano
    .en = flat
said-appears = aparece
    .en = appears
said-partly = en parte
    .en = partly
said-stays-flat = sigue plano
    .en = stays flat
said-arch-rises-leg-turns-out = el arco sube, la pierna gira hacia fuera
    .en = arch rises, leg turns out
said-toe-lifts-arch-hardly-rises = el dedo sube, el arco apenas
    .en = toe lifts, arch hardly rises
said-toe-will-not-lift-under-load = el dedo no sube con carga
    .en = toe will not lift under load
said-able = puede
    .en = able
said-unable = no puede
    .en = unable
said-weakness = debilidad
    .en = weakness
said-pain = dolor
    .en = pain
said-balance = equilibrio
    .en = balance
said-tired = cansancio
    .en = tired
said-stopped-by-us = la paramos nosotros
    .en = stopped by us
said-stays-down = se queda abajo
    .en = stays down
said-lifts-off = se levanta
    .en = lifts off
said-fully = del todo
    .en = fully
said-not-at-all = nada
    .en = not at all
said-usual = normal
    .en = usual
said-loose = suelto
    .en = loose
said-stiff = rígido
    .en = stiff
said-crosses-the-midline = cruza la línea media
    .en = crosses the midline
said-does-not-cross = no la cruza
    .en = does not cross
said-does-not-move-at-all = no se mueve nada
    .en = does not move at all
said-free = libre
    .en = free
said-reduced = reducido
    .en = reduced
said-easily-felt = se palpa bien
    .en = easily felt
said-weak = débil
    .en = weak
said-not-felt = no se palpa
    .en = not felt
said-pale = pálido
    .en = pale
said-dusky = azulado
    .en = dusky
said-red = rojo
    .en = red
said-as-the-other = como el otro
    .en = as the other
said-warmer = más caliente
    .en = warmer
said-colder = más frío
    .en = colder
said-felt = sentido
    .en = felt
said-sound = sano
    .en = sound
said-fluid-or-thickened-sheath-no-tear = líquido o vaina engrosada, sin rotura
    .en = fluid or thickened sheath, no tear
said-partial-tear-or-split = rotura parcial o fisura
    .en = partial tear or split
said-torn-through = roto del todo
    .en = torn through
said-only-on-the-outer-side = solo por el lado externo
    .en = only on the outer side
said-more-on-the-outer-side = más por el lado externo
    .en = more on the outer side
said-the-same-on-both-sides = igual por los dos lados
    .en = the same on both sides
said-more-on-the-inner-side = más por el lado interno
    .en = more on the inner side
said-only-on-the-inner-side = solo por el lado interno
    .en = only on the inner side
said-lower-curve-straight-or-bulging-out = curva inferior recta o abombada
    .en = lower curve straight or bulging out
said-lower-curve-the-flatter-one = curva inferior más plana
    .en = lower curve the flatter one
said-both-curves-alike = las dos curvas iguales
    .en = both curves alike
said-lower-curve-the-deeper-one = curva inferior más honda
    .en = lower curve the deeper one
said-lower-curve-much-the-deeper-one = curva inferior mucho más honda
    .en = lower curve much the deeper one
said-clearly-turned-in = claramente girado hacia dentro
    .en = clearly turned in
said-a-little-turned-in = algo girado hacia dentro
    .en = a little turned in
said-upright = vertical
    .en = upright
said-a-little-turned-out = algo girado hacia fuera
    .en = a little turned out
said-clearly-turned-out = claramente girado hacia fuera
    .en = clearly turned out
said-clearly-hollow = claramente hundida
    .en = clearly hollow
said-slightly-hollow = algo hundida
    .en = slightly hollow
said-level = a nivel
    .en = level
said-slightly-bulging = algo abultada
    .en = slightly bulging
said-clearly-bulging = claramente abultada
    .en = clearly bulging
said-high-peak-towards-the-heel = alto, con la cima hacia el talón
    .en = high, peak towards the heel
said-rather-high = más bien alto
    .en = rather high
said-even-of-usual-height = regular, de altura usual
    .en = even, of usual height
said-lowered-flat-in-the-middle = bajo, plano en el centro
    .en = lowered, flat in the middle
said-very-low-touching-or-nearly-so = muy bajo, toca el suelo o casi
    .en = very low, touching or nearly so
said-only-toes-of-the-inner-side = solo dedos del lado interno
    .en = only toes of the inner side
said-more-toes-of-the-inner-side = más dedos del lado interno
    .en = more toes of the inner side
said-as-many-on-either-side = los mismos por los dos lados
    .en = as many on either side
said-more-toes-of-the-outer-side = más dedos del lado externo
    .en = more toes of the outer side
said-only-toes-of-the-outer-side = solo dedos del lado externo
    .en = only toes of the outer side

## Partes del formulario

section-person = Persona
    .en = Person
section-story = Historia
    .en = Story
section-child-s-story = Historia del niño
    .en = Child's story
section-illnesses = Enfermedades
    .en = Illnesses
section-medicines = Medicamentos
    .en = Medicines
section-loose-joints = Articulaciones laxas
    .en = Loose joints
section-pain-and-swelling = Dolor e hinchazón
    .en = Pain and swelling
section-standing = De pie
    .en = Standing
section-heel-rise = Elevación del talón
    .en = Heel rise
section-does-it-correct = Se corrige
    .en = Does it correct
section-strength-and-length = Fuerza y longitud
    .en = Strength and length
section-print-and-pressure = Huella y presión
    .en = Print and pressure
section-arch-from-the-side = Arco visto de lado
    .en = Arch from the side
section-posture-six-items = Postura, seis apartados
    .en = Posture, six items
section-circulation-and-feeling = Circulación y sensibilidad
    .en = Circulation and feeling
section-skin = Piel
    .en = Skin
section-imaging-and-joints = Imagen y articulaciones
    .en = Imaging and joints
section-in-words = En palabras
    .en = In words
section-infection-injury-circulation = Infección, lesión, circulación
    .en = Infection, injury, circulation
section-clot-in-the-leg = Coágulo en la pierna
    .en = Clot in the leg
section-tumour-nerve-joints = Tumor, nervio, articulaciones
    .en = Tumour, nerve, joints
section-pain-out-of-proportion = Dolor desproporcionado
    .en = Pain out of proportion
section-child = Niño
    .en = Child

## Signos de alarma

said-emergency = urgencia
    .en = emergency
said-urgent = urgente
    .en = urgent
said-within-days = en unos días
    .en = within days
said-soon = pronto
    .en = soon
said-now = ahora mismo
    .en = now
said-the-same-day = el mismo día
    .en = the same day
said-ask-the-right-specialty = preguntar a la especialidad adecuada
    .en = ask the right specialty
flag-ischaemia-words = Puede que a la pierna no le llegue bastante sangre.
    .en = The leg may not get enough blood.
flag-ischaemia-action = Enviar de urgencia a cirugía vascular; sin compresión y sin férula.
    .en = Send as an emergency to vascular care; no compression, no brace.
flag-septic_joint-words = Puede haber una articulación o un hueso infectado.
    .en = A joint or bone may be infected.
flag-septic_joint-action = Valoración en el hospital el mismo día con análisis y, si una articulación está hinchada, punción; sin infiltración de corticoide.
    .en = Same-day hospital assessment with blood tests and, if a joint is swollen, aspiration; no injection of steroid.
flag-charcot-words = Puede que los huesos se deshagan por falta de sensibilidad (Charcot).
    .en = The bones may be breaking down under lost feeling (Charcot).
flag-charcot-action = Quitar ya todo el peso y llamar con urgencia al equipo de pie diabético; sin férula y sin ejercicio.
    .en = Take all weight off now and call the diabetic foot team urgently; no brace and no exercise on it.
flag-clot-words = Puede haber un coágulo en una vena de la pierna.
    .en = A vein of the leg may be clotted.
flag-clot-action = Prueba de trombosis venosa profunda el mismo día; antes, sin compresión y sin masaje.
    .en = Same-day test for deep vein thrombosis; no compression and no massage before it.
flag-acute_rupture-words = Puede que el tendón o el hueso haya cedido de golpe.
    .en = Tendon or bone may have given way suddenly.
flag-acute_rupture-action = Radiografía ya por fractura y luxación del mediopié, proteger con una bota, opinión de un cirujano en unos días.
    .en = Film now for fracture and midfoot dislocation, protect in a boot, surgical opinion within days.
flag-tumour-words = Hay que descartar un tumor.
    .en = A growth must be ruled out.
flag-tumour-action = Radiografía y resonancia urgentes; remitir antes de cualquier tratamiento.
    .en = Urgent film and MRI, refer before any treatment.
flag-cord_or_nerve-words = Puede que falle la médula o un nervio.
    .en = The spinal cord or a nerve may be failing.
flag-cord_or_nerve-action = Opinión urgente de neurología.
    .en = Urgent neurological opinion.
flag-open_or_infected_skin-words = La piel está abierta o infectada.
    .en = The skin is open or infected.
flag-open_or_infected_skin-action = Tratar antes la herida: cura, descarga, cuidado de la infección; ni vendaje, ni férula, ni infiltración encima.
    .en = Treat the wound first: dressing, offloading, infection care; no wrap, brace or injection over it.
flag-crps-words = Puede que el dolor siga por su cuenta (dolor regional complejo).
    .en = The pain may have taken on a life of its own (complex regional pain).
flag-crps-action = Remitir pronto a una unidad del dolor; mantener el movimiento, sin yeso.
    .en = Early referral to a pain service; keep it moving, no cast.
flag-inflammatory-words = Puede haber detrás una enfermedad articular.
    .en = A joint disease may be behind it.
flag-inflammatory-action = Análisis y reumatología.
    .en = Blood tests and rheumatology.
flag-foot_at_risk-words = El pie corre riesgo por diabetes o falta de sensibilidad.
    .en = The foot is at risk from diabetes or lost feeling.
flag-foot_at_risk-action = Clasificar el riesgo y fijar la revisión: falta de sensibilidad o de riego, 6 a 12 meses; dos de sensibilidad, riego y deformidad, 3 a 6; con úlcera anterior, amputación o riñón terminal, 1 a 3. Sin plantilla rígida prefabricada y sin compresión mientras no haya una presión del tobillo.
    .en = Grade the risk and set the review: loss of feeling or poor flow 6 to 12 months, two of feeling, flow and deformity 3 to 6, with an earlier ulcer, amputation or end-stage kidney 1 to 3. No rigid ready-made shell and no compression without an ankle pressure.
flag-rigid_child-words = Un pie plano rígido en un niño o adolescente necesita una imagen.
    .en = A rigid flat foot in a child or adolescent needs an image.
flag-rigid_child-action = Radiografías de pie y después TC si es probable un puente; opinión de ortopedia infantil.
    .en = Standing films, then CT if a bridge is likely; paediatric orthopaedic opinion.
flag-child_nerve_or_muscle-words = Una enfermedad de nervio o músculo puede mostrarse en el pie.
    .en = A nerve or muscle disease may show in the foot.
flag-child_nerve_or_muscle-action = Remitir a neurología infantil; análisis de la enzima muscular.
    .en = Refer to paediatric neurology; blood test for muscle enzyme.
flag-rocker_sole-words = El astrágalo puede estar vertical desde el nacimiento.
    .en = The talus may stand upright since birth.
flag-rocker_sole-action = Radiografía de perfil con el pie en punta, opinión de ortopedia infantil.
    .en = Lateral film with the foot pointed, paediatric orthopaedic opinion.

## La escala de cuidados

rung-calm-title = Reposo, frío, pierna en alto
    .en = Rest, cool, raise
rung-calm-words = Quitar carga al tendón: paseos más cortos, sin cuestas, sin deporte; enfriarlo y elevar la pierna.
    .en = Take the load off the tendon: shorter walks, no hills, no sport on it; cool it and raise the leg.
said-ice-through-a-cloth-n-to-n-minutes-several-times-a-day = Hielo a través de un paño de { $n1 } a { $n2 } minutos, varias veces al día
    .en = Ice through a cloth # to # minutes, several times a day
said-leg-above-the-hip-when-sitting = Pierna por encima de la cadera al sentarse
    .en = Leg above the hip when sitting
said-n-to-n-weeks = { $n1 } a { $n2 } semanas
    .en = # to # weeks
said-n-to-n-weeks-then-judge-again = { $n1 } a { $n2 } semanas, y juzgar de nuevo
    .en = # to # weeks, then judge again
said-after-n-week = tras { $n1 } semana
    .en = after # week
said-after-n-weeks = tras { $n1 } semanas
    .en = after # weeks
said-after-n-to-n-weeks = tras { $n1 } a { $n2 } semanas
    .en = after # to # weeks
said-at-n-weeks = a las { $n1 } semanas
    .en = at # weeks
said-at-n-to-n-weeks = a las { $n1 } a { $n2 } semanas
    .en = at # to # weeks
said-at-n-months = a los { $n1 } meses
    .en = at # months
said-at-n-to-n-months = a los { $n1 } a { $n2 } meses
    .en = at # to # months
said-at-each-change = en cada cambio
    .en = at each change
said-at-each-visit = en cada visita
    .en = at each visit
said-when-something-changes = cuando algo cambie
    .en = when something changes
said-before-the-letter-goes = antes de enviar la carta
    .en = before the letter goes
said-the-same-evening-and-next-morning = esa misma noche y a la mañana siguiente
    .en = the same evening and next morning
said-pain-n-to-n-swelling-along-the-tendon-walking-distance = Dolor de { $n1 } a { $n2 }, hinchazón a lo largo del tendón, distancia que anda
    .en = Pain # to #, swelling along the tendon, walking distance
said-no-ice-on-a-foot-that-does-not-feel-it = Nada de hielo en un pie que no lo siente.
    .en = No ice on a foot that does not feel it.
said-no-ice-and-no-raising-above-the-heart-on-a-leg-short-of--62 = Ni hielo ni elevar por encima del corazón una pierna con poco riego.
    .en = No ice and no raising above the heart on a leg short of blood.
rung-wrap-title = Vendaje compresivo
    .en = Compression wrap
rung-wrap-words = Vendaje con pasta de zinc desde la base de los dedos hasta debajo de la rodilla, vueltas suaves en espiral, cubierta elástica.
    .en = Zinc-paste wrap from the base of the toes to below the knee, light spiral turns, elastic cover.
said-about-n-to-n-mmhg = De { $n1 } a { $n2 } mmHg aproximadamente
    .en = About # to # mmHg
said-change-after-n-days-sooner-when-loose-or-wet = Cambiar a los { $n1 } días, antes si está flojo o mojado
    .en = Change after # days, sooner when loose or wet
said-n-to-n-weeks-while-it-swells = { $n1 } a { $n2 } semanas, mientras se hincha
    .en = # to # weeks, while it swells
said-toes-colour-warmth-feeling-more-pain-than-before-means-t-70 = Dedos: color, calor, sensibilidad; si duele más que antes, quitarlo
    .en = Toes: colour, warmth, feeling, more pain than before means take it off
said-hours-a-day-skin-fit-pain = Horas al día, piel, ajuste, dolor
    .en = Hours a day, skin, fit, pain
said-adjust-what-presses = ajustar lo que aprieta
    .en = adjust what presses
said-skin-swelling-slipping = Piel, hinchazón, deslizamiento
    .en = Skin, swelling, slipping
said-not-before-pulses-are-felt-or-an-ankle-brachial-index-is-115 = No antes de palpar los pulsos o conocer el índice tobillo-brazo: por debajo de { $n1 } solo con un especialista, por debajo de { $n2 } nunca.
    .en = Not before pulses are felt or an ankle-brachial index is known: below # only with a specialist, below # not at all.
said-not-over-an-infection-or-weeping-eczema = No sobre una infección ni un eccema que supura.
    .en = Not over an infection or weeping eczema.
rung-boot-title = Bota para andar o yeso corto
    .en = Walking boot or short cast
rung-boot-words = Mantener quietos tobillo y retropié, con el arco apoyado por dentro.
    .en = Hold ankle and hindfoot still, with the arch supported inside.
said-other-sources-give-n-to-n = otras fuentes dan { $n1 } a { $n2 }
    .en = other sources give # to #
said-skin-calf-heel-lift-under-the-other-shoe = Piel, pantorrilla, alza bajo el otro zapato
    .en = Skin, calf, heel lift under the other shoe
said-pain-on-pressing-the-tendon-single-heel-rise = Dolor al apretar el tendón, elevación sobre un talón
    .en = Pain on pressing the tendon, single heel rise
said-then-into-a-support-not-back-to-nothing = después a un soporte, no a nada
    .en = then into a support, not back to nothing
said-a-boot-or-cast-makes-a-clot-likelier-ask-about-earlier-c-119 = Una bota o un yeso hace más probable un coágulo: preguntar por coágulos anteriores, hormonas, viajes largos; seguir las normas locales de prevención.
    .en = A boot or cast makes a clot likelier: ask about earlier clots, hormones, long travel; follow local rules on prevention.
said-on-a-numb-foot-only-with-full-lining-close-skin-checks-a-80 = En un pie dormido solo con forro completo, revisión estrecha de la piel y alguien que la haga.
    .en = On a numb foot only with full lining, close skin checks and somebody to do them.
rung-tablets-title = Medicación antiinflamatoria
    .en = Anti-inflammatory medicine
rung-tablets-words = Primero sobre la piel; pastillas a la dosis más baja y el menor tiempo si nada lo desaconseja.
    .en = On the skin first; tablets at the lowest dose for the shortest time where nothing speaks against them.
said-gel-on-the-skin-first = Primero gel sobre la piel
    .en = Gel on the skin first
said-if-tablets-ibuprofen-up-to-n-mg-a-day-first = Si son pastillas: primero ibuprofeno hasta { $n1 } mg al día
    .en = If tablets: ibuprofen up to # mg a day first
said-stomach-protection-when-the-risk-is-high = protección del estómago si el riesgo es alto
    .en = stomach protection when the risk is high
said-days-to-n-weeks-then-stop-and-judge = días a { $n1 } semanas, y entonces parar y juzgar
    .en = days to # weeks, then stop and judge
said-still-needed-stomach-blood-pressure-kidneys-where-at-ris-60 = ¿Aún hace falta? Estómago, tensión, riñones si hay riesgo
    .en = Still needed? Stomach, blood pressure, kidneys where at risk
said-whoever-prescribes-checks-medicines-and-illnesses-afresh-56 = Quien receta revisa de nuevo medicamentos y enfermedades
    .en = Whoever prescribes checks medicines and illnesses afresh
said-local-formulary-first = primero la guía local de medicamentos
    .en = local formulary first
rung-therapy-title = Programa de terapia
    .en = Therapy programme
rung-therapy-words = Bajada lenta contra carga para el tendón, estiramiento de pantorrilla con el talón en neutro, equilibrio y cadera.
    .en = Slow lowering against load for the tendon, calf stretch with the heel held neutral, balance and hip.
said-turning-in-and-down-against-a-band-or-load-slow-on-the-w-90 = Girar hacia dentro y abajo contra una banda o carga, despacio a la vuelta: { $n1 } series de { $n2 }, dos veces al día
    .en = Turning in and down against a band or load, slow on the way back: # sets of #, twice a day
said-more-load-when-it-is-easy = más carga cuando sea fácil
    .en = more load when it is easy
said-pain-up-to-n-of-n-is-allowed-if-it-has-settled-by-next-d-58 = Se permite dolor hasta { $n1 } de { $n2 } si al día siguiente se ha calmado
    .en = Pain up to # of # is allowed if it has settled by next day
said-calf-stretch-with-the-heel-held-neutral-n-times-n-second-71 = Estiramiento de pantorrilla con el talón en neutro: { $n1 } veces { $n2 } segundos, dos veces al día
    .en = Calf stretch with the heel held neutral: # times # seconds, twice a day
said-support-worn-for-nine-tenths-of-the-time-on-the-feet = Soporte puesto nueve décimas partes del tiempo de pie
    .en = Support worn for nine tenths of the time on the feet
said-n-weeks-before-it-is-called-a-failure = { $n1 } semanas antes de darlo por fracasado
    .en = # weeks before it is called a failure
said-single-heel-rises-pain-after-five-minutes-walk-load-used-59 = Elevaciones sobre un talón, dolor tras cinco minutos andando, carga usada
    .en = Single heel rises, pain after five minutes' walk, load used
said-goal-of-one-series-strength-within-n-of-the-other-side-n-112 = Meta de una serie: fuerza a menos de un { $n1 } % del otro lado, { $n2 } elevaciones sobre un talón con poco dolor, { $n3 } m de puntillas
    .en = Goal of one series: strength within # % of the other side, # single heel rises with little pain, # m on the toes
said-with-a-torn-tendon-no-loaded-strengthening-before-a-surg-69 = Con el tendón roto, nada de fortalecer con carga antes de la opinión de un cirujano.
    .en = With a torn tendon no loaded strengthening before a surgical opinion.
said-the-dosage-is-recalled-from-the-trial-s-protocol-and-unc-64 = La dosis se recuerda del protocolo del ensayo y está sin confirmar
    .en = The dosage is recalled from the trial's protocol and unconfirmed
said-the-therapist-adapts-it = el terapeuta la adapta
    .en = the therapist adapts it
rung-orthosis-title = Plantilla con cuña
    .en = Posted foot orthosis
rung-orthosis-words = Una plantilla con la forma del pie corregido, copa honda, inclinada hacia dentro en el talón, hasta donde el talón llega pasivamente y no más.
    .en = A shell to the shape of the corrected foot, deep heel cup, tilted inwards at the heel, as far as the heel passively goes and no further.
said-nine-tenths-of-the-time-on-the-feet = Nueve décimas partes del tiempo de pie
    .en = Nine tenths of the time on the feet
said-first-day-n-hour-then-an-hour-more-each-day = Primer día { $n1 } hora, después una hora más cada día
    .en = First day # hour, then an hour more each day
said-as-long-as-it-helps = mientras ayude
    .en = as long as it helps
said-judge-at-n-months = juzgar a los { $n1 } meses
    .en = judge at # months
said-rubbing-shoe-fit-heel-seen-from-behind-in-the-shoe-and-o-66 = Roce, ajuste del zapato, talón visto desde atrás con y sin zapato
    .en = Rubbing, shoe fit, heel seen from behind in the shoe and out of it
said-pain-heel-rises-wear = Dolor, elevaciones del talón, uso
    .en = Pain, heel rises, wear
said-not-held-means-the-next-rung = si no sujeta, el paso siguiente
    .en = not held means the next rung
said-no-rigid-shell-on-a-foot-that-has-lost-protective-feelin-113 = Ninguna plantilla rígida en un pie sin sensibilidad protectora, salvo forrada por completo, a medida y revisada cada día.
    .en = No rigid shell on a foot that has lost protective feeling, unless fully lined, made to measure and checked daily.
said-not-over-an-open-or-infected-place = No sobre una zona abierta o infectada.
    .en = Not over an open or infected place.
rung-hinged-afo-title = Férula de tobillo y pie con bisagra
    .en = Hinged ankle-foot orthosis
rung-hinged-afo-words = Sujeta el talón y deja doblar el tobillo.
    .en = Holds the heel and lets the ankle bend.
said-shoe-with-extra-depth-firm-heel-counter-wide-base = Zapato de más fondo, contrafuerte firme, base ancha
    .en = Shoe with extra depth, firm heel counter, wide base
said-months = meses
    .en = months
said-one-series-wore-it-about-n-months-n-hours-a-day = en una serie la llevaron unos { $n1 } meses, { $n2 } horas al día
    .en = one series wore it about # months, # hours a day
said-skin-over-malleoli-navicular-and-fifth-base = Piel sobre maléolos, navicular y base del quinto
    .en = Skin over malleoli, navicular and fifth base
said-straps = correas
    .en = straps
said-shoe = zapato
    .en = shoe
said-pain-walking-distance-can-it-be-left-off-for-part-of-the-62 = Dolor, distancia que anda, si se puede quitar parte del día
    .en = Pain, walking distance, can it be left off for part of the day
said-needs-protective-feeling = Requiere sensibilidad protectora
    .en = Needs protective feeling
said-otherwise-made-to-measure-full-lining-daily-skin-checks--77 = si no, a medida, forro completo, piel revisada cada día, sin almohadilla interna rígida
    .en = otherwise made to measure, full lining, daily skin checks, no rigid inner pad
said-settle-the-swelling-first-a-rigid-shell-does-not-follow--60 = Calmar antes la hinchazón: una férula rígida no la sigue.
    .en = Settle the swelling first: a rigid shell does not follow it.
rung-gauntlet-title = Férula de cuero con cordones
    .en = Lace-up gauntlet
rung-gauntlet-words = Cuero con cordones y alma rígida, sujeta talón y tobillo por todos lados y sigue la hinchazón.
    .en = Leather lacer with a stiff inside, holds heel and ankle all round and follows swelling.
said-shoe-a-size-wider = Zapato una talla más ancho
    .en = Shoe a size wider
said-months-to-years = meses a años
    .en = months to years
said-skin-lacing-shoe = Piel, cordones, zapato
    .en = Skin, lacing, shoe
said-pain-walking-distance = Dolor, distancia que anda
    .en = Pain, walking distance
said-needs-hands-that-can-lace-or-somebody-who-does-it = Requiere manos que puedan atar, o alguien que lo haga.
    .en = Needs hands that can lace, or somebody who does it.
said-otherwise-full-lining-and-daily-skin-checks = si no, forro completo y piel revisada cada día
    .en = otherwise full lining and daily skin checks
rung-solid-afo-title = Férula rígida de tobillo y pie
    .en = Solid ankle-foot orthosis
rung-solid-afo-words = Detiene el tobillo y sostiene la pierna sobre el pie; hecha con la forma que el pie tiene.
    .en = Stops the ankle and holds the leg over the foot; made to the shape the foot has.
said-rocker-under-the-shoe-when-the-ankle-is-stiff = Balancín bajo el zapato si el tobillo está rígido
    .en = Rocker under the shoe when the ankle is stiff
said-as-long-as-surgery-is-not-wanted-or-not-possible = mientras no se quiera o no se pueda operar
    .en = as long as surgery is not wanted or not possible
said-skin-over-malleoli-navicular-and-shin = Piel sobre maléolos, navicular y espinilla
    .en = Skin over malleoli, navicular and shin
said-knee = rodilla
    .en = knee
said-pain-walking-distance-falls = Dolor, distancia que anda, caídas
    .en = Pain, walking distance, falls
said-no-rigid-brace-on-a-foot-that-has-lost-protective-feelin-113 = Ninguna férula rígida en un pie sin sensibilidad protectora, salvo a medida, forrada por completo y revisada cada día.
    .en = No rigid brace on a foot that has lost protective feeling, unless made to measure, fully lined and checked daily.
said-settle-the-swelling-first = Calmar antes la hinchazón.
    .en = Settle the swelling first.
said-watch-an-unstable-knee-or-hip-a-stopped-ankle-loads-them-58 = Vigilar una rodilla o cadera inestable: un tobillo detenido las carga.
    .en = Watch an unstable knee or hip: a stopped ankle loads them.
rung-footwear-title = Calzado
    .en = Footwear
rung-footwear-words = Contrafuerte firme, centro rígido, base ancha, sitio para un soporte; ala o cuña interna si el talón se vence; balancín si hay rigidez.
    .en = Firm heel counter, stiff middle, wide base, room for a support; inner flare or wedge where the heel rolls in; rocker when stiff.
said-for-every-step-outdoors-and-most-indoors = Siempre fuera de casa y casi siempre dentro
    .en = For every step outdoors and most indoors
said-always = siempre
    .en = always
said-wear-of-heel-and-counter-inside-for-rough-spots = Desgaste de tacón y contrafuerte, zonas ásperas por dentro
    .en = Wear of heel and counter, inside for rough spots
said-never-barefoot-look-into-the-shoe-before-putting-it-on = Nunca descalzo; mirar dentro del zapato antes de ponérselo.
    .en = Never barefoot, look into the shoe before putting it on.
rung-injection-title = Infiltración de corticoide en la vaina
    .en = Steroid injection into the sheath
rung-injection-words = En la vaina, nunca en el tendón, con ecografía; o en la articulación que duele si el dolor es externo o por artrosis.
    .en = Into the sheath, never the tendon, under ultrasound; or into the joint that hurts when the pain is lateral or arthritic.
said-one = Una
    .en = One
said-a-second-at-most = una segunda como mucho
    .en = a second at most
said-boot-afterwards = Después, bota
    .en = Boot afterwards
said-once-then-judge-at-n-weeks = una vez, y juzgar a las { $n1 } semanas
    .en = once, then judge at # weeks
said-pain-single-heel-rise = Dolor, elevación sobre un talón
    .en = Pain, single heel rise
said-sudden-loss-of-strength-means-tear = pérdida brusca de fuerza significa rotura
    .en = sudden loss of strength means tear
said-steroid-near-this-tendon-is-named-among-the-causes-of-it-65 = El corticoide cerca de este tendón se cuenta entre las causas de su rotura
    .en = Steroid near this tendon is named among the causes of its tearing
said-the-risk-is-higher-with-severe-wear-or-a-high-grade-part-88 = el riesgo es mayor con desgaste grave o rotura parcial extensa. La piel puede quedar fina y pálida
    .en = the risk is higher with severe wear or a high-grade partial tear. Skin may thin and pale
said-at-most-one-or-two-image-guided-boot-afterwards-not-with-110 = Como mucho una o dos, guiadas por imagen, después bota, no con rotura: se recuerda como regla del oficio, sin confirmar.
    .en = At most one or two, image-guided, boot afterwards, not with a tear: recalled as the trade's rule, unconfirmed.
rung-surgery-title = Opinión quirúrgica
    .en = Surgical opinion
rung-surgery-words = Preguntar a un cirujano de pie y tobillo, con radiografías de pie y tobillo en carga y las lecturas de esta visita.
    .en = Ask a foot and ankle surgeon, with standing films of foot and ankle and this visit's readings.
said-one-visit = una visita
    .en = one visit
said-films-complete-foot-from-above-and-from-the-side-ankle-a-70 = Radiografías completas: pie desde arriba y de perfil, tobillo, todas de pie
    .en = Films complete: foot from above and from the side, ankle, all standing
said-hindfoot-view-where-possible = proyección del retropié si es posible
    .en = hindfoot view where possible
said-nicotine-badly-controlled-sugar-poor-flow-numbness-stero-147 = Nicotina, azúcar mal controlado, poco riego, falta de sensibilidad, corticoides en pastillas y un peso que no se puede quitar del pie durante semanas hablan en contra
    .en = Nicotine, badly controlled sugar, poor flow, numbness, steroid tablets and a weight that cannot be kept off the foot for weeks all count against it
said-the-surgeon-weighs-them = el cirujano los sopesa
    .en = the surgeon weighs them
rung-child-watch-title = Explicar y observar
    .en = Explain and watch
rung-child-watch-words = Un pie plano flexible y sin dolor de un niño se deja estar: explicar, sin plantilla, sin remitir de rutina.
    .en = A flexible, painless flat foot of a child is left alone: explain, no orthosis, no routine referral.
said-come-back-when-it-hurts-stiffens-or-becomes-one-sided = volver si duele, se pone rígido o queda de un solo lado
    .en = come back when it hurts, stiffens or becomes one-sided
said-pain-one-side-stiffness-falling-behind-at-play = Dolor, un solo lado, rigidez, quedarse atrás al jugar
    .en = Pain, one side, stiffness, falling behind at play
rung-child-help-title = Estirar, calzado, prueba de un soporte
    .en = Stretch, shoes, a trial of a support
rung-child-help-words = Estirar la pantorrilla con el talón en neutro, calzado firme; un soporte sencillo a prueba si duele.
    .en = Calf stretch with the heel held neutral, firm shoes; a simple support on trial when it hurts.
said-calf-stretch-n-times-n-seconds-twice-a-day-where-the-cor-68 = Estirar la pantorrilla { $n1 } veces { $n2 } segundos, dos veces al día, si el tendón de Aquiles está corto
    .en = Calf stretch # times # seconds, twice a day, where the cord is tight
said-support-in-shoes-by-day = Soporte en los zapatos de día
    .en = Support in shoes by day
said-n-to-n-months-then-stop-what-did-not-help = { $n1 } a { $n2 } meses, y entonces dejar lo que no ayudó
    .en = # to # months, then stop what did not help
said-pain-play-cord = Dolor, juego, tendón de Aquiles
    .en = Pain, play, cord
said-outgrown-supports = soportes que han quedado pequeños
    .en = outgrown supports
said-a-support-eases-pain-it-does-not-build-an-arch-tell-the--69 = Un soporte alivia el dolor; no forma un arco. Decírselo a los padres.
    .en = A support eases pain; it does not build an arch. Tell the parents so.
rung-child-refer-title = Imagen o remitir
    .en = Image or refer
rung-child-refer-words = Radiografías de pie y después opinión de ortopedia, neurología o reumatología infantil según lo hallado.
    .en = Standing films, then a paediatric orthopaedic, neurological or rheumatological opinion by what was found.
said-weeks-at-most-sooner-by-the-alarm-sign = semanas como mucho, antes si lo pide el signo de alarma
    .en = weeks at most, sooner by the alarm sign
said-standing-films-of-both-feet = Radiografías de los dos pies en carga
    .en = Standing films of both feet
said-reflexes-strength-gait = reflejos, fuerza, marcha
    .en = reflexes, strength, gait
said-a-stiff-foot-is-not-forced-into-a-corrective-shell = Un pie rígido no se fuerza dentro de una plantilla correctora.
    .en = A stiff foot is not forced into a corrective shell.
said-a-sore-tendon-that-is-still-its-normal-length-can-settle-57 = Un tendón dolorido que conserva su longitud puede calmarse.
    .en = A sore tendon that is still its normal length can settle.
said-pain-and-swelling-have-to-come-down-before-strength-can--65 = Dolor e hinchazón tienen que bajar antes de ganar fuerza.
    .en = Pain and swelling have to come down before strength can be built.
said-for-a-flare-of-pain-only-it-does-not-change-a-stiff-shap-59 = Solo para un brote de dolor; no cambia una forma rígida.
    .en = For a flare of pain only; it does not change a stiff shape.
said-for-a-flare-of-pain-only-it-does-not-change-the-ankle = Solo para un brote de dolor; no cambia el tobillo.
    .en = For a flare of pain only; it does not change the ankle.
said-for-the-sore-days-of-a-child-whose-foot-is-flexible = Para los días de dolor de un niño con el pie flexible.
    .en = For the sore days of a child whose foot is flexible.
said-swelling-and-comfort-only = Solo hinchazón y alivio.
    .en = Swelling and comfort only.
said-as-soon-as-the-hot-phase-is-over = En cuanto pase la fase caliente.
    .en = As soon as the hot phase is over.
said-as-soon-as-the-hot-phase-is-over-in-the-support = En cuanto pase la fase caliente, con el soporte.
    .en = As soon as the hot phase is over, in the support.
said-takes-load-off-the-tendon-while-it-heals = Quita carga al tendón mientras cura.
    .en = Takes load off the tendon while it heals.
said-the-heel-still-corrects-so-it-can-be-held-from-below = El talón aún se corrige, así que se puede sujetar desde abajo.
    .en = The heel still corrects, so it can be held from below.
said-every-support-needs-a-shoe-that-holds-it = Todo soporte necesita un zapato que lo sujete.
    .en = Every support needs a shoe that holds it.
said-a-firm-roomy-shoe-costs-little = Un zapato firme y amplio cuesta poco.
    .en = A firm, roomy shoe costs little.
said-failed-n-to-n-months-of-steady-care-or-getting-worse = Fracaso de { $n1 } a { $n2 } meses de cuidado constante, o empeora.
    .en = Failed # to # months of steady care, or getting worse.
said-the-foot-is-flexible-and-something-hurts-tires-or-is-tig-87 = El pie es flexible y algo duele, cansa o está tirante: tratar eso, no la forma.
    .en = The foot is flexible and something hurts, tires or is tight: treat that, not the shape.
said-most-become-less-flat-by-themselves-and-a-support-does-n-73 = La mayoría se hacen menos planos por sí mismos, y un soporte no forma un arco.
    .en = Most become less flat by themselves, and a support does not make an arch.
said-rigid-one-sided-new-or-with-a-warning-sign-look-for-the--85 = Rígido, de un lado, nuevo o con un signo de aviso: buscar la causa antes de cualquier soporte.
    .en = Rigid, one-sided, new, or with a warning sign: look for the cause before any support.
said-when-the-orthosis-does-not-hold-the-heel-the-weight-is-h-85 = Si la plantilla no sujeta el talón, el peso es alto o el ejercicio ha fracasado.
    .en = When the orthosis does not hold the heel, the weight is high, or exercise has failed.
said-when-the-orthosis-does-not-hold-the-heel = Si la plantilla no sujeta el talón.
    .en = When the orthosis does not hold the heel.
said-none-found = ninguna hallada
    .en = none found
said-small-trials-that-disagree = ensayos pequeños que no concuerdan
    .en = small trials that disagree
said-expert-agreement = acuerdo de expertos
    .en = expert agreement
said-series = serie
    .en = series
said-review = revisión
    .en = review
said-low = baja
    .en = low
said-common-practice = práctica habitual
    .en = common practice
said-consensus = consenso
    .en = consensus
said-guideline = guía
    .en = guideline
said-trial = ensayo
    .en = trial
said-one-case = un caso
    .en = one case
said-formulary-advice = consejo de guía de medicamentos
    .en = formulary advice
said-one-small-trial-in-children-with-arthritis = un ensayo pequeño en niños con artritis
    .en = one small trial in children with arthritis
said-no-trial-of-ice-or-rest-alone-in-this-condition-was-foun-58 = No se halló ningún ensayo de hielo o reposo solos en esta dolencia.
    .en = No trial of ice or rest alone in this condition was found.
said-n-people-n-weeks-all-groups-gained-slow-lowering-gained--63 = { $n1 } personas, { $n2 } semanas: todos los grupos mejoraron, más el de bajada lenta
    .en = # people, # weeks: all groups gained, slow lowering gained most
said-the-trial-is-of-middling-quality = el ensayo es de calidad media
    .en = the trial is of middling quality
said-n-of-n-people-with-stage-ii-strengthening-added-little-t-101 = { $n1 } de { $n2 } personas en estadio II: fortalecer añadió poco a soporte y estiramiento, la fuerza no creció
    .en = # of # people with stage II: strengthening added little to support and stretch, strength did not grow
said-n-people-with-a-short-brace-or-orthosis-and-many-repetit-83 = { $n1 } personas con férula corta o plantilla y muchas repeticiones: el { $n2 } % acabó en operación
    .en = # people with a short brace or orthosis and many repetitions: # % came to operation
said-n-experts-in-tendon-trouble-n-tilt-the-heel-post-inwards-86 = { $n1 } expertos: con el tendón dañado, el { $n2 } % inclina la cuña del talón hacia dentro, el { $n3 } % vierte el molde hacia dentro
    .en = # experts: in tendon trouble # % tilt the heel post inwards, # % pour the cast inwards
said-n-people-braces-and-rigid-posted-inserts-n-good-or-excel-93 = { $n1 } personas, férulas y plantillas rígidas con cuña: { $n2 } % bien o muy bien a los { $n3 } meses, el { $n4 } % lo había dejado
    .en = # people, braces and rigid posted inserts: # % good or excellent at # months, # % had stopped
said-no-high-level-support-in-adults = Sin apoyo de alto nivel en adultos
    .en = No high-level support in adults
said-moderate-for-sway-and-energy-cost-low-for-pain = moderado para balanceo y gasto de energía, bajo para dolor
    .en = moderate for sway and energy cost, low for pain
said-n-children-with-arthritis-custom-support-against-shoes-n-127 = { $n1 } niños con artritis, soporte a medida frente a zapatos, { $n2 } meses: { $n3 } de { $n4 } menos dolor ({ $n5 } a { $n6 }). Sin esa mejora con los prefabricados
    .en = # children with arthritis, custom support against shoes, # months: pain # of # less (# to #). No such gain from ready-made ones

## El plan y sus comprobaciones

said-proposed = propuesto
    .en = proposed
said-look-first = mirar antes
    .en = look first
said-depends-on-the-stage = depende del estadio
    .en = depends on the stage
said-held-back = retenido
    .en = held back
said-first = primero
    .en = first
said-a-proposal-to-weigh-not-a-prescription-the-clinician-dec-62 = Una propuesta para sopesar, no una receta: decide el profesional clínico
    .en = A proposal to weigh, not a prescription: the clinician decides
said-local-codes-and-licensed-practice-come-first = primero van las normas locales y el ejercicio autorizado
    .en = local codes and licensed practice come first
said-alarm-signs-not-asked-about-n = Signos de alarma por los que no se preguntó: { $n1 }
    .en = Alarm signs not asked about: #
said-an-alarm-sign-is-raised-deal-with-it-first = Hay un signo de alarma: resolverlo primero
    .en = An alarm sign is raised: deal with it first
said-no-rung-is-proposed = no se propone ningún paso
    .en = no rung is proposed
said-not-settled = Sin decidir
    .en = Not settled
said-rungs-that-all-of-them-share-come-first = Primero van los pasos que todos comparten
    .en = Rungs that all of them share come first
said-child-s-path = Camino del niño
    .en = Child's path
said-stage-i = Estadio I
    .en = Stage I
said-stage-ii = Estadio II
    .en = Stage II
said-stage-iii = Estadio III
    .en = Stage III
said-stage-iv = Estadio IV
    .en = Stage IV
said-not-recorded = no consta
    .en = not recorded
said-no-image-recorded = no consta ninguna imagen
    .en = no image recorded
said-tear = Rotura
    .en = Tear
said-protective-feeling = Sensibilidad protectora
    .en = Protective feeling
said-protective-feeling-is-lost = Se ha perdido la sensibilidad protectora
    .en = Protective feeling is lost
said-flow = Riego
    .en = Flow
said-clot = Coágulo
    .en = Clot
said-heart = Corazón
    .en = Heart
said-paste = Pasta
    .en = Paste
said-hands = Manos
    .en = Hands
said-fitness-for-surgery = Aptitud para la cirugía
    .en = Fitness for surgery

## Estadios y criterios

said-four-stages-of-the-failing-tendon = Cuatro estadios del tendón que cede
    .en = Four stages of the failing tendon
said-consensus-of-n = Consenso de { $n1 }
    .en = Consensus of #
said-three-columns = Tres columnas
    .en = Three columns
said-child-s-flat-foot = Pie plano del niño
    .en = Child's flat foot
said-child-s-traffic-light = Semáforo del niño
    .en = Child's traffic light
said-heel-outwards = talón hacia fuera
    .en = heel outwards
said-still-corrects = aún se corrige
    .en = still corrects
said-cannot-tell-yet = Aún no se puede decir
    .en = Cannot tell yet
said-cannot-tell-from-confirmed-sources = No se puede decir con fuentes confirmadas
    .en = Cannot tell from confirmed sources
said-by-unconfirmed-definitions-it-would-be-iia = según definiciones sin confirmar sería IIA
    .en = by unconfirmed definitions it would be IIA
said-by-unconfirmed-definitions-it-would-be-iib = según definiciones sin confirmar sería IIB
    .en = by unconfirmed definitions it would be IIB
said-by-unconfirmed-definitions-it-would-be-iva = según definiciones sin confirmar sería IVA
    .en = by unconfirmed definitions it would be IVA
said-by-unconfirmed-definitions-it-would-be-ivb = según definiciones sin confirmar sería IVB
    .en = by unconfirmed definitions it would be IVB
said-flexible-painful = flexible con dolor
    .en = flexible-painful
said-flexible-painless = flexible sin dolor
    .en = flexible-painless
said-rigid-painful = rígido con dolor
    .en = rigid-painful
said-rigid-painless = rígido sin dolor
    .en = rigid-painless
said-not-flat = no plano
    .en = not-flat
said-flexible-and-painful = flexible y doloroso
    .en = flexible and painful
said-green = verde
    .en = green
said-amber = ámbar
    .en = amber
said-flexible-with-pain-fatigue-tight-cord-or-the-like-treat--94 = flexible con dolor, cansancio, tendón de Aquiles corto o similar: tratar lo que duele, revisar en { $n1 } a { $n2 } meses
    .en = flexible with pain, fatigue, tight cord or the like: treat what hurts, review in # to # months
said-a-not-known = A no se sabe
    .en = A not known
said-b-not-known = B no se sabe
    .en = B not known
said-c-not-known = C no se sabe
    .en = C not known
said-d-not-known = D no se sabe
    .en = D not known
said-e-not-known = E no se sabe
    .en = E not known
said-a-present = A presente
    .en = A present
said-b-present = B presente
    .en = B present
said-c-present = C presente
    .en = C present
said-d-present = D presente
    .en = D present
said-e-present = E presente
    .en = E present
said-flexible-or-rigid-not-known = no se sabe si flexible o rígido
    .en = flexible or rigid not known
said-forefoot-drifts-outwards = el antepié se desvía hacia fuera
    .en = forefoot drifts outwards
said-forefoot-turned-up-or-inner-column-unstable = antepié levantado o columna interna inestable
    .en = forefoot turned up or inner column unstable
said-not-known = no se sabe
    .en = not known
said-not-looked-at = no explorado
    .en = not looked at
said-no-yardstick-of-it-may-decide = ninguna referencia suya puede decidir
    .en = no yardstick of it may decide
said-the-reading-is-too-close-to-a-limit = la lectura está demasiado cerca de un límite
    .en = the reading is too close to a limit
said-place-the-points-again-or-take-a-better-film = colocar de nuevo los puntos o hacer una radiografía mejor
    .en = place the points again or take a better film
said-known-from-memory-only-nobody-here-has-read-the-source = conocido solo de memoria: nadie aquí ha leído la fuente
    .en = known from memory only: nobody here has read the source
said-age-is-not-recorded-the-adult-schemes-and-the-child-s-pa-74 = Edad no registrada: se muestran las clasificaciones de adultos y el camino del niño
    .en = Age is not recorded: the adult schemes and the child's path are both shown
said-the-age-decides-which-counts = la edad decide cuál cuenta
    .en = the age decides which counts
said-under-n-the-child-s-path-is-used = Menos de { $n1 }: se usa el camino del niño
    .en = Under #: the child's path is used
said-the-adult-tendon-schemes-are-not = las clasificaciones del tendón de adultos no
    .en = the adult tendon schemes are not
said-pain-along-the-tendon = Dolor a lo largo del tendón
    .en = Pain along the tendon
said-single-heel-rise-fails-or-the-heel-does-not-turn-in = La elevación sobre un talón falla o el talón no gira hacia dentro
    .en = Single heel rise fails or the heel does not turn in
said-tibialis-posterior-weak = Tibial posterior débil
    .en = Tibialis posterior weak
said-heel-clearly-outwards = Talón claramente hacia fuera
    .en = Heel clearly outwards
said-heel-a-little-outwards = Talón un poco hacia fuera
    .en = Heel a little outwards
said-heel-corrects-by-hand = El talón se corrige con la mano
    .en = Heel corrects by hand
said-forefoot-can-be-brought-back-in-line = El antepié se puede llevar a su línea
    .en = Forefoot can be brought back in line
said-forefoot-turned-up-with-the-heel-neutral = Antepié levantado con el talón en neutro
    .en = Forefoot turned up with the heel neutral
said-the-turned-up-forefoot-does-not-come-down = El antepié levantado no baja
    .en = The turned-up forefoot does not come down
said-achilles-cord-tight = Tendón de Aquiles corto
    .en = Achilles cord tight
said-ankle-level = Tobillo a nivel
    .en = Ankle level
said-ankle-worn = Tobillo gastado
    .en = Ankle worn
said-subtalar-joint-worn = Articulación subtalar gastada
    .en = Subtalar joint worn
said-inner-column-gaps-at-the-sole = La columna interna se abre por la planta
    .en = Inner column gaps at the sole
said-inner-column-unstable = Columna interna inestable
    .en = Inner column unstable
said-inner-column-worn = Columna interna gastada
    .en = Inner column worn
said-middle-column-worn = Columna media gastada
    .en = Middle column worn
said-outer-tibial-joint-surface-lost = Superficie articular externa de la tibia perdida
    .en = Outer tibial joint surface lost
said-outer-talonavicular-edge-off-by-more-than-n = Borde talonavicular externo desplazado más de { $n1 }°
    .en = Outer talonavicular edge off by more than #°
said-outer-talonavicular-edge-off-by-n-to-n = Borde talonavicular externo desplazado { $n1 }° a { $n2 }°
    .en = Outer talonavicular edge off by #° to #°
said-talar-head-uncovered-by-more-than-n = Cabeza del astrágalo descubierta más de { $n1 } %
    .en = Talar head uncovered by more than # %
said-talus-tilts-outwards-by-n-to-n = El astrágalo se inclina hacia fuera { $n1 }° a { $n2 }°
    .en = Talus tilts outwards by #° to #°
said-talus-tilts-outwards-in-the-ankle = El astrágalo se inclina hacia fuera en el tobillo
    .en = Talus tilts outwards in the ankle
said-line-broken-by-more-than-n = Línea quebrada más de { $n1 }°
    .en = Line broken by more than #°
said-line-of-talus-and-first-metatarsal-broken = Línea de astrágalo y primer metatarsiano quebrada
    .en = Line of talus and first metatarsal broken
said-pain-at-the-outer-side = Dolor en el lado externo
    .en = Pain at the outer side
said-pain-under-the-fibula = Dolor bajo el peroné
    .en = Pain under the fibula
said-pinching-under-the-fibula = Pinzamiento bajo el peroné
    .en = Pinching under the fibula
said-posture-total-over-n = Suma de postura mayor de +{ $n1 }
    .en = Posture total over +#
said-posture-total-beyond-what-n-in-n-children-have = Suma de postura mayor de la que tiene { $n1 } de cada { $n2 } niños
    .en = Posture total beyond what # in # children have
said-sheath-inflamed-no-tear = Vaina inflamada, sin rotura
    .en = Sheath inflamed, no tear
said-tendon-torn-in-part = Tendón roto en parte
    .en = Tendon torn in part
said-tendon-torn-in-part-or-through = Tendón roto, en parte o del todo
    .en = Tendon torn, in part or through
said-a-bridge-between-bones-seen-or-suspected = Un puente entre huesos visto o sospechado
    .en = A bridge between bones seen or suspected
said-arch-appears-on-tiptoe-or-sitting = El arco aparece de puntillas o sentado
    .en = Arch appears on tiptoe or sitting
said-flat-when-standing = Plano de pie
    .en = Flat when standing
said-painful = Doloroso
    .en = Painful
said-fever = Fiebre
    .en = Fever
said-pain-that-wakes-at-night = Dolor que despierta de noche
    .en = Pain that wakes at night
said-cannot-run-and-jump-as-others-of-that-age = No puede correr y saltar como otros de su edad
    .en = Cannot run and jump as others of that age
said-tires-early = Se cansa pronto
    .en = Tires early
said-weight-well-above-the-range-for-age = Peso muy por encima de lo propio de la edad
    .en = Weight well above the range for age
said-on-one-side-or-new = En un lado, o nuevo
    .en = On one side, or new
said-known-inflammatory-joint-disease = Enfermedad articular inflamatoria conocida
    .en = Known inflammatory joint disease
said-rocker-sole-since-birth = Planta en mecedora desde el nacimiento
    .en = Rocker sole since birth
said-skills-or-strength-lost = Habilidades o fuerza perdidas
    .en = Skills or strength lost
said-stiff-or-jerky-legs = Piernas rígidas o bruscas
    .en = Stiff or jerky legs
said-adductus = aducto
    .en = adductus
said-n-of-n = { $n1 } de { $n2 }
    .en = # of #
said-n-toes = { $n1 } dedos
    .en = # toes
said-n-rises = { $n1 } elevaciones
    .en = # rises
said-about-n = unos { $n1 }°
    .en = about #°
said-at-least-n-n = al menos { $n1 } { $n2 }
    .en = at least # #
said-less-than-n-n = menos de { $n1 } { $n2 }
    .en = less than # #
said-more-than-n-n = más de { $n1 } { $n2 }
    .en = more than # #
said-between-the-limits-more-than-n-n-and-less-than-n-n = entre los límites: más de { $n1 }° { $n2 } y menos de { $n3 }° { $n4 }
    .en = between the limits: more than #° # and less than #° #
said-too-close-to-the-limits-to-tell-more-than-n-n-and-more-t-66 = demasiado cerca de los límites para decirlo: más de { $n1 }° { $n2 } y más de { $n3 }° { $n4 }
    .en = too close to the limits to tell: more than #° # and more than #° #
said-it-would-say-no = diría que no
    .en = it would say no
said-it-would-say-yes = diría que sí
    .en = it would say yes
said-the-only-yardstick-more-than-n-n-is-unconfirmed-and-does-69 = la única referencia, más de { $n1 } { $n2 }, está sin confirmar y no decide
    .en = the only yardstick, more than # #, is unconfirmed and does not decide
said-the-only-yardstick-more-than-n-n-is-unconfirmed-and-does-70 = la única referencia, más de { $n1 }° { $n2 }, está sin confirmar y no decide
    .en = the only yardstick, more than #° #, is unconfirmed and does not decide
said-the-only-yardstick-more-than-n-n-is-unconfirmed-and-does-71 = la única referencia, más de { $n1 } % { $n2 }, está sin confirmar y no decide
    .en = the only yardstick, more than # % #, is unconfirmed and does not decide
said-the-only-yardstick-between-n-and-n-n-is-unconfirmed-and--75 = la única referencia, entre { $n1 }° y { $n2 }° { $n3 }, está sin confirmar y no decide
    .en = the only yardstick, between #° and #° #, is unconfirmed and does not decide
said-the-only-yardstick-more-than-n-n-is-shown-only-and-does--69 = la única referencia, más de { $n1 }° { $n2 }, solo se muestra y no decide
    .en = the only yardstick, more than #° #, is shown only and does not decide
said-the-only-yardsticks-more-than-n-n-and-more-than-n-n-are--90 = las únicas referencias, más de { $n1 } % { $n2 } y más de { $n3 } % { $n4 }, solo se muestran y no deciden
    .en = the only yardsticks, more than # % # and more than # % #, are shown only and do not decide
said-the-only-yardsticks-more-than-n-n-and-more-than-n-n-are--88 = las únicas referencias, más de { $n1 }° { $n2 } y más de { $n3 }° { $n4 }, solo se muestran y no deciden
    .en = the only yardsticks, more than #° # and more than #° #, are shown only and do not decide
said-shown-only-deciding-nothing-less-than-n-n-and-less-than--61 = solo mostrado, no decide nada: menos de { $n1 } { $n2 } y menos de { $n3 } { $n4 }
    .en = shown only, deciding nothing: less than # # and less than # #
said-shown-only-deciding-nothing-more-than-n-n-and-within-n-t-63 = solo mostrado, no decide nada: más de { $n1 } { $n2 } y entre { $n3 } y { $n4 } { $n5 }
    .en = shown only, deciding nothing: more than # # and within # to # #
said-without-complaint-mean-n-in-healthy-swedish-adults-n-slo-182 = sin molestias: media { $n1 } en adultos suecos sanos, pendiente de { $n2 }°, { $n3 } golpes por minuto { $n4 }, mediana { $n5 } en adultos suecos sanos { $n6 } y mediana { $n7 } en población general, { $n8 } % activa, pierna dominante { $n9 }
    .en = without complaint: mean # in healthy Swedish adults, #° slope, # beats a minute #, median # in healthy Swedish adults # and median # in general population, # % active, dominant leg #

## Lecturas

said-lateral-foot = Pie de perfil
    .en = Lateral foot
said-dorsoplantar-foot = Pie dorsoplantar
    .en = Dorsoplantar foot
said-hindfoot-alignment = Alineación del retropié
    .en = Hindfoot alignment
said-left-lateral-foot = pie izquierdo de perfil
    .en = left lateral foot
said-right-lateral-foot = pie derecho de perfil
    .en = right lateral foot
said-left-dorsoplantar-foot = pie izquierdo dorsoplantar
    .en = left dorsoplantar foot
said-right-dorsoplantar-foot = pie derecho dorsoplantar
    .en = right dorsoplantar foot
said-left = izquierdo
    .en = left
said-right = derecho
    .en = right
said-points-not-finished = puntos sin terminar
    .en = points not finished
said-n-mm-per-pixel-in-the-foot-n-from-the-ball = { $n1 } mm por píxel en el pie, ± { $n2 } %, por la bola
    .en = # mm per pixel in the foot, ± # %, from the ball
measure-meary_lat = Ángulo astrágalo-primer metatarsiano, de perfil
    .en = Talo-first-metatarsal angle, lateral
measure-meary_lat-short = Astrágalo–primer metatarsiano
    .en = Talo–first-metatarsal
measure-meary_lat-sign = + la línea quebrada apunta a la planta: arco bajo; − apunta arriba: arco alto
    .en = + the broken line points to the sole: arch down; − it points upwards: high arch
measure-calc_pitch = Inclinación del calcáneo
    .en = Calcaneal pitch
measure-calc_pitch-sign = + el frente del calcáneo está más alto que su parte trasera
    .en = + the front of the heel bone is higher than its back
measure-mc_floor = Cuneiforme medial al suelo
    .en = Medial cuneiform to floor
measure-mc_floor-short = Altura del cuneiforme medial
    .en = Medial cuneiform height
measure-mc_floor-sign = + sobre el suelo
    .en = + above the floor
measure-nav_height = Altura del navicular
    .en = Navicular height
measure-mc_mt5 = Cuneiforme medial al quinto metatarsiano
    .en = Medial cuneiform to fifth metatarsal
measure-mc_mt5-short = Cuneiforme–quinto metatarsiano
    .en = Cuneiform–fifth metatarsal
measure-mc_mt5-sign = + el cuneiforme medial está más alto que la base del quinto metatarsiano; 0 o menos es un hundimiento profundo
    .en = + the medial cuneiform is higher than the base of the fifth metatarsal; 0 or less is a deep collapse
measure-talar_decl = Declinación del astrágalo
    .en = Talar declination
measure-talar_decl-sign = + la cabeza del astrágalo apunta al suelo
    .en = + the head of the talus points to the floor
measure-nav_height_truncated = Altura del navicular por el largo hasta la cabeza del primer metatarsiano
    .en = Navicular height by length to the first metatarsal head
measure-nav_height_truncated-short = Altura del navicular / largo truncado
    .en = Navicular height / truncated length
measure-nav_height_foot-sign = mayor = arco más alto
    .en = larger = higher arch
measure-mt1_decl = Declinación del primer metatarsiano
    .en = First-metatarsal declination
measure-mt1_decl-sign = + la cabeza del primer metatarsiano está más baja que su base
    .en = + the head of the first metatarsal is lower than its base
measure-tca_lat = Ángulo astragalocalcáneo, de perfil
    .en = Talocalcaneal angle, lateral
measure-tca_lat-short = Astragalocalcáneo, perfil
    .en = Talocalcaneal, lateral
measure-tca_lat-sign = + astrágalo y calcáneo se abren hacia atrás, como en todo pie normal; mayor en valgo
    .en = + talus and calcaneus open backwards, as in every normal foot; larger in valgus
measure-c1ma_lat = Ángulo calcáneo–primer metatarsiano
    .en = Calcaneal–first-metatarsal angle
measure-c1ma_lat-short = Calcáneo–primer metatarsiano
    .en = Calcaneal–first metatarsal
measure-c1ma_lat-sign = mayor = más plano; 180° es una línea recta
    .en = larger = flatter; 180° is a straight line
measure-cuboid_height = Altura del cuboides
    .en = Cuboid height
measure-cuboid_height-sign = + sobre el suelo; 0 o menos si la columna externa ha bajado
    .en = + above the floor; 0 or less when the outer column has come down
measure-nav_height_foot = Altura del navicular por el largo del pie
    .en = Navicular height by foot length
measure-nav_height_foot-short = Altura del navicular / largo del pie
    .en = Navicular height / foot length
measure-c5ma_lat = Ángulo calcáneo–quinto metatarsiano
    .en = Calcaneal–fifth-metatarsal angle
measure-c5ma_lat-short = Calcáneo–quinto metatarsiano
    .en = Calcaneal–fifth metatarsal
measure-c5ma_lat-sign = mayor = arco externo más plano; 180° es una línea recta
    .en = larger = flatter outer arch; 180° is a straight line
measure-cyma_step = Escalón en la línea de las articulaciones mediotarsianas
    .en = Step in the line of the midtarsal joints
measure-cyma_step-short = Escalón mediotarsiano
    .en = Midtarsal line step
measure-cyma_step-sign = + la articulación talonavicular está delante de la calcaneocuboidea (plano); − está detrás
    .en = + the talonavicular joint lies in front of the calcaneocuboid joint (flat); − it lies behind
measure-cc_abd = Abducción calcaneocuboidea
    .en = Calcaneocuboid abduction
measure-cc_abd-sign = + el cuboides apunta más hacia fuera que el calcáneo
    .en = + the cuboid points further to the outer side than the heel bone
measure-lia = Ángulo de incongruencia lateral
    .en = Lateral incongruency angle
measure-lia-short = Incongruencia lateral
    .en = Lateral incongruency
measure-lia-sign = + el borde externo del navicular ha pasado hacia fuera la cabeza del astrágalo
    .en = + the outer edge of the navicular has gone outwards past the talar head
measure-maa = Ángulo de metatarso aducto
    .en = Metatarsus adductus angle
measure-maa-short = Metatarso aducto
    .en = Metatarsus adductus
measure-maa-sign = + el segundo metatarsiano apunta hacia dentro
    .en = + the second metatarsal points to the inner side
measure-t1mt_dp = Ángulo astrágalo-primer metatarsiano, dorsoplantar
    .en = Talo-first-metatarsal angle, dorsoplantar
measure-t1mt_dp-short = Astrágalo–primer metatarsiano, dp
    .en = Talo–first-metatarsal, dp
measure-t1mt_dp-sign = + el antepié apunta hacia fuera
    .en = + the forefoot points to the outer side
measure-t2mt_dp = Ángulo astrágalo-segundo metatarsiano, dorsoplantar
    .en = Talo-second-metatarsal angle, dorsoplantar
measure-t2mt_dp-short = Astrágalo–segundo metatarsiano, dp
    .en = Talo–second-metatarsal, dp
measure-talar_tilt = Inclinación del astrágalo
    .en = Talar tilt
measure-talar_tilt-sign = + el astrágalo se inclina en valgo: el espacio articular es más estrecho por fuera
    .en = + the talus leans into valgus: the joint space is narrower on the outer side
measure-tca_dp = Ángulo astragalocalcáneo, dorsoplantar
    .en = Talocalcaneal angle, dorsoplantar
measure-tca_dp-short = Astragalocalcáneo, dp
    .en = Talocalcaneal, dp
measure-tca_dp-sign = + astrágalo y calcáneo se abren hacia delante; mayor en valgo
    .en = + talus and calcaneus open forwards; larger in valgus
measure-tn_uncov = Descobertura talonavicular
    .en = Talonavicular uncoverage
measure-tn_uncov-short = Cabeza del astrágalo descubierta
    .en = Talar head uncovered
measure-tn_uncov-sign = + parte de la cuerda de la cabeza del astrágalo que queda libre por dentro
    .en = + share of the talar head's chord that lies free on the inner side
measure-tnca = Ángulo de cobertura talonavicular
    .en = Talonavicular coverage angle
measure-tnca-short = Cobertura talonavicular
    .en = Talonavicular coverage
measure-tnca-sign = + el navicular se ha ido hacia fuera de la cabeza del astrágalo
    .en = + the navicular has gone to the outer side of the talar head
measure-haa = Ángulo de alineación del retropié
    .en = Hindfoot alignment angle
measure-haa-sign = + el talón se inclina hacia fuera: valgo
    .en = + the heel leans to the outer side: valgus
measure-hma = Brazo de palanca del retropié
    .en = Hindfoot moment arm
measure-hma-sign = + el talón toca el suelo por fuera del eje de la tibia: valgo
    .en = + the heel touches the ground to the outer side of the shin bone's axis: valgus
measure-mdta = Ángulo del techo tibial, lado interno
    .en = Tibial plafond angle, inner side
measure-mdta-short = Ángulo del techo tibial
    .en = Tibial plafond angle
measure-mdta-sign = ángulo en el lado interno; por encima de unos 92° el techo se inclina en valgo, por debajo en varo
    .en = angle on the inner side; above about 92° the ceiling leans into valgus, below into varus
measure-tibiotalar = Ángulo tibioastragalino, lado interno
    .en = Tibiotalar angle, inner side
measure-tibiotalar-short = Ángulo tibioastragalino
    .en = Tibiotalar angle
measure-tibiotalar-sign = ángulo en el lado interno; mayor = valgo
    .en = angle on the inner side; larger = valgus
said-adults = adultos
    .en = adults
said-adults-of-a-forefoot-operation-study = adultos de un estudio de operación del antepié
    .en = adults of a forefoot operation study
said-adults-with-normal-feet-china = adultos con pies normales, China
    .en = adults with normal feet, China
said-children-of-a-flatfoot-study = niños de un estudio de pie plano
    .en = children of a flatfoot study
said-children-with-normal-feet = niños con pies normales
    .en = children with normal feet
said-young-adults-without-complaint-normal-arch = adultos jóvenes sin molestias, arco normal
    .en = young adults without complaint, normal arch
said-flat-in-that-study = plano en ese estudio
    .en = flat in that study
said-the-printed-spread-is-far-smaller-than-in-other-series = la dispersión impresa es mucho menor que en otras series
    .en = the printed spread is far smaller than in other series
said-its-people-were-picked-by-literature-norms-so-its-spread-71 = sus personas se eligieron por normas publicadas y su dispersión es demasiado estrecha
    .en = its people were picked by literature norms, so its spread is too narrow
said-a-line-is-short-against-the-placing-error-of-its-ends-th-84 = Una línea es corta frente al error de colocar sus extremos: el error es solo aproximado
    .en = A line is short against the placing error of its ends: the error is only approximate
said-placing-errors-are-the-usual-ones-of-these-points-not-th-72 = Los errores de colocación son los usuales de estos puntos, no los propios de este lector
    .en = Placing errors are the usual ones of these points, not this reader's own
said-the-construction-is-known-from-memory-only = La construcción se conoce solo de memoria
    .en = The construction is known from memory only
said-nobody-here-has-read-its-source = nadie aquí ha leído su fuente
    .en = nobody here has read its source
said-the-source-says-medial-column-height-and-does-not-show-i-64 = la fuente dice altura de la columna medial y no muestra su punto
    .en = the source says medial column height and does not show its point
said-not-modelled = no está en el modelo
    .en = not modelled
said-a-sideways-beam-is-not-modelled = un haz de lado no está en el modelo
    .en = a sideways beam is not modelled
said-the-error-does-not-hold-what-a-turned-foot-or-beam-does = El error no abarca lo que hace un pie o un haz girado
    .en = The error does not hold what a turned foot or beam does
said-its-lines-are-short-so-a-small-misplacement-turns-them-f-59 = Sus líneas son cortas: una pequeña desviación las gira mucho
    .en = Its lines are short, so a small misplacement turns them far
said-depends-on-how-far-forward-the-beam-leans = Depende de cuánto se incline el haz hacia delante
    .en = Depends on how far forward the beam leans
said-not-studied-on-films-as-far-as-we-found = No estudiado en radiografías, que sepamos
    .en = Not studied on films as far as we found
said-the-coverage-angle-beside-it-was-sensitive-to-a-beam-tha-76 = el ángulo de cobertura a su lado fue sensible a un haz desviado
    .en = the coverage angle beside it was sensitive to a beam that is off to the side
said-on-cadaver-films-it-did-not-change-with-beam-tilt-along--87 = En radiografías de cadáver no cambió al inclinar el haz a lo largo del pie (Willauer2{ $n1 }, resumen)
    .en = On cadaver films it did not change with beam tilt along the foot (Willauer2#, abstract)
said-on-cadaver-films-it-did-not-change-with-beam-tilt-along--141 = En radiografías de cadáver no cambió al inclinar el haz solo a lo largo del pie, pero sí cuando el haz estaba además desviado (Willauer2{ $n1 }, resumen)
    .en = On cadaver films it did not change with beam tilt along the foot alone, but did once the beam was also off to the side (Willauer2#, abstract)
said-the-two-joints-lie-n-cm-apart-across-the-foot-so-a-turne-125 = Las dos articulaciones distan { $n1 } cm a lo ancho del pie: un pie girado las mueve una frente a otra; leerlo solo en un perfil verdadero
    .en = The two joints lie # cm apart across the foot, so a turned foot moves them against each other: read it on a true lateral only

## El pedido

said-shell = cuerpo
    .en = shell
said-rearfoot-post = cuña del retropié
    .en = rearfoot post
said-width-at-the-heel = ancho en el talón
    .en = width at the heel
said-width-at-the-front = ancho delante
    .en = width at the front
said-length-over-all = largo total
    .en = length over all
said-height-over-all = altura total
    .en = height over all
said-scan-sitting-part-of-the-weight = escaneo, sentado, parte del peso
    .en = scan, sitting, part of the weight
said-powder-multi-jet-fused = polvo, fusión multichorro
    .en = powder, multi-jet fused
said-pa1n-multi-jet-fused = PA1{ $n1 }, fusión multichorro
    .en = PA1#, multi-jet fused
said-n-gpa-n-to-n-recalled-and-unconfirmed = { $n1 } GPa ({ $n2 } a { $n3 }), de memoria y sin confirmar
    .en = # GPa (# to #), recalled and unconfirmed
said-l1-standing-on-both-feet = L1 de pie sobre los dos pies
    .en = L1 standing on both feet
said-l2-standing-on-one-foot = L2 de pie sobre un pie
    .en = L2 standing on one foot
said-l3-heel-strike = L3 choque del talón
    .en = L3 heel strike
said-l4-arch-stiffness-round-pad = L4 rigidez del arco, tampón redondo
    .en = L4 arch stiffness, round pad
said-l5-fatigue-a-million-steps = L5 fatiga, un millón de pasos
    .en = L5 fatigue, a million steps
said-l6-overload-running = L6 sobrecarga, carrera
    .en = L6 overload, running
said-creep-heat-the-print-s-direction-the-shoe-the-foot-s-sof-92 = fluencia, calor, dirección de impresión, zapato, blandura del pie y dispersión de la fatiga
    .en = creep, heat, the print's direction, the shoe, the foot's softness, and the spread of fatigue
said-the-post-of-n-takes-up-all-of-the-n-that-the-heel-can-be-76 = la cuña de { $n1 }° gasta los { $n2 }° que el talón se puede girar hacia dentro con la mano
    .en = the post of #° takes up all of the #° that the heel can be turned in by hand
said-free-the-part-of-loose-powder-and-seal-it-before-it-touc-64 = limpiar la pieza de polvo suelto y sellarla antes de que toque la piel
    .en = free the part of loose powder and seal it before it touches skin
said-rearfoot-post-n-inner-side-raised-base-n-n-mm = cuña del retropié { $n1 }°, lado interno alto, base { $n2 } × { $n3 } mm
    .en = rearfoot post #°, inner side raised, base # × # mm
said-forefoot-post-n-inner-side-raised = cuña del antepié { $n1 }°, lado interno alto
    .en = forefoot post #°, inner side raised
said-shell-for-a-left-foot-from-above-toes-up-n-mm-long-n-mm--72 = Plantilla para un pie izquierdo desde arriba, dedos arriba: { $n1 } mm de largo, { $n2 } mm en lo más ancho
    .en = Shell for a left foot from above, toes up: # mm long, # mm at its widest
said-shell-for-a-right-foot-from-above-toes-up-n-mm-long-n-mm-73 = Plantilla para un pie derecho desde arriba, dedos arriba: { $n1 } mm de largo, { $n2 } mm en lo más ancho
    .en = Shell for a right foot from above, toes up: # mm long, # mm at its widest
said-from-the-inner-side-n-mm-long-n-mm-at-its-highest-heel-c-71 = Desde el lado interno: { $n1 } mm de largo, { $n2 } mm en lo más alto, copa del talón { $n3 } mm de hondo
    .en = From the inner side: # mm long, # mm at its highest, heel cup # mm deep
said-the-heel-from-behind-standing-on-the-ground-the-foot-is--89 = El talón desde atrás, apoyado en el suelo: el pie está girado { $n1 }°, lado interno alto
    .en = The heel from behind, standing on the ground: the foot is turned by #°, inner side raised
said-section-across-n-mm-from-the-rear-edge-at-the-navicular--117 = Corte transversal, a { $n1 } mm del borde trasero, en el navicular: { $n2 } mm de grosor en la mitad interna, { $n3 } mm en la externa
    .en = Section across, # mm from the rear edge, at the navicular: # mm thick on the inner half, # mm thick on the outer half
said-the-device-as-it-stands-on-the-bench = La plantilla tal como está en la mesa
    .en = The device as it stands on the bench
said-dimensions-are-measured-on-the-solid = las medidas se toman en el sólido
    .en = dimensions are measured on the solid
said-fine-lines-equal-heights-n-mm-apart = Líneas finas: alturas iguales, cada { $n1 } mm
    .en = Fine lines: equal heights, # mm apart
said-dashed-green-flat-base-of-a-post = Verde a trazos: base plana de una cuña
    .en = Dashed green: flat base of a post
said-dashed-in-the-heel-cut-through-its-middle-and-the-foot-s-68 = A trazos en el talón: corte por su centro y el nivel propio del pie
    .en = Dashed in the heel: cut through its middle, and the foot’s own level
said-dotted-the-foot-before-fill-and-cuts = Punteado: el pie, antes de rellenos y recortes
    .en = Dotted: the foot, before fill and cuts
said-from-above-toes-up = Desde arriba, dedos arriba
    .en = From above, toes up
said-from-the-inner-side = Desde el lado interno
    .en = From the inner side
said-heel-from-behind-n-inner-side-raised = Talón desde atrás, { $n1 }°, lado interno alto
    .en = Heel from behind, #°, inner side raised
said-heel-from-behind-n-outer-side-raised = Talón desde atrás, { $n1 }°, lado externo alto
    .en = Heel from behind, #°, outer side raised
said-heel-from-behind-level = Talón desde atrás, a nivel
    .en = Heel from behind, level
said-section-a-a-navicular-n-mm-from-the-rear = Corte A–A, navicular, a { $n1 } mm de atrás
    .en = Section A–A, navicular, # mm from the rear
said-section-a-a-n-mm-from-the-rear = Corte A–A, a { $n1 } mm de atrás
    .en = Section A–A, # mm from the rear
said-inner-side = lado interno
    .en = inner side
said-outer-side = lado externo
    .en = outer side
said-ground = suelo
    .en = ground
said-foot = pie
    .en = foot
said-navicular = navicular
    .en = navicular
said-first-head = primera cabeza
    .en = first head
said-fifth-head = quinta cabeza
    .en = fifth head
said-heel-s-middle = centro del talón
    .en = heel’s middle
said-forefoot-post = cuña del antepié
    .en = forefoot post
said-rearfoot-post-n-inner-side-raised = cuña del retropié { $n1 }°, lado interno alto
    .en = rearfoot post #°, inner side raised
said-rearfoot-post-n-outer-side-raised = cuña del retropié { $n1 }°, lado externo alto
    .en = rearfoot post #°, outer side raised
said-rearfoot-post-level = cuña del retropié a nivel
    .en = rearfoot post level
said-forefoot-post-n-outer-side-raised = cuña del antepié { $n1 }°, lado externo alto
    .en = forefoot post #°, outer side raised
said-forefoot-post-level = cuña del antepié a nivel
    .en = forefoot post level
said-base-n-n-mm = base { $n1 } × { $n2 } mm
    .en = base # × # mm
said-scale-n-n-as-large-as-the-device = Escala { $n1 }:{ $n2 }, tan grande como la plantilla
    .en = Scale #:#, as large as the device
said-scale-n-n-half-as-large-as-the-device = Escala { $n1 }:{ $n2 }, la mitad de la plantilla
    .en = Scale #:#, half as large as the device
said-the-ruler-is-n-mm-long-or-the-print-was-scaled = La regla mide { $n1 } mm, o la impresión se escaló
    .en = The ruler is # mm long, or the print was scaled
said-scanned-without-weight = escaneado sin peso
    .en = scanned without weight
said-scanned-sitting-part-of-the-weight = escaneado sentado, parte del peso
    .en = scanned sitting, part of the weight
said-scanned-standing-full-weight = escaneado de pie, todo el peso
    .en = scanned standing, full weight
said-built-from-measurements-not-scanned = construido a partir de medidas, no escaneado
    .en = built from measurements, not scanned
said-built-from-measurements-and-a-print-not-scanned = construido a partir de medidas y una huella, no escaneado
    .en = built from measurements and a print, not scanned
said-corrected-positive = positivo corregido
    .en = corrected positive
said-to-be-milled = para fresar
    .en = to be milled
said-any-block-that-bears-the-heat = cualquier bloque que aguante el calor
    .en = any block that bears the heat
said-carbon-fibre-in-epoxy-one-direction = Fibra de carbono en epoxi, una dirección
    .en = Carbon fibre in epoxy, one direction
said-carbon-fibre-in-thermoplastic-heat-formable-sheet = Fibra de carbono en termoplástico, lámina termoconformable
    .en = Carbon fibre in thermoplastic, heat-formable sheet
said-carbon-laminate-alike-in-all-directions-of-its-plane = Laminado de carbono, igual en todas las direcciones de su plano
    .en = Carbon laminate, alike in all directions of its plane
said-carbon-weave-in-epoxy-n-n = Tejido de carbono en epoxi, { $n1 }/{ $n2 }
    .en = Carbon weave in epoxy, #/#
said-cork-natural = Corcho natural
    .en = Cork, natural
said-eva-foam = Espuma EVA
    .en = EVA foam
said-tpu-shore-a-n-to-n-printed = TPU, Shore A { $n1 } a { $n2 }, impreso
    .en = TPU, Shore A # to #, printed
said-pa1n-laser-sintered = PA1{ $n1 }, sinterizado por láser
    .en = PA1#, laser sintered
said-pa1n-powder-fused = PA1{ $n1 }, fusión de polvo
    .en = PA1#, powder fused
said-polyethylene-high-density = Polietileno de alta densidad
    .en = Polyethylene, high density
said-polypropylene-copolymer = Polipropileno, copolímero
    .en = Polypropylene, copolymer
said-polypropylene-extruded = Polipropileno, extruido
    .en = Polypropylene, extruded
said-polypropylene-homopolymer = Polipropileno, homopolímero
    .en = Polypropylene, homopolymer
said-extruded-strand = hilo extruido
    .en = extruded strand
said-fibre-laminate = laminado de fibra
    .en = fibre laminate
said-ground-from-a-block = rebajado de un bloque
    .en = ground from a block
said-powder-laser-sintered = polvo, sinterizado por láser
    .en = powder, laser sintered
said-sheet-formed-over-a-positive = lámina, conformada sobre un positivo
    .en = sheet, formed over a positive
said-standing-on-both-feet = De pie sobre los dos pies
    .en = Standing on both feet
said-standing-on-one-leg-middle-of-a-step = De pie sobre una pierna, mitad de un paso
    .en = Standing on one leg, middle of a step
said-heel-strike = Choque del talón
    .en = Heel strike
said-stiffness-of-the-arch-on-the-bench = Rigidez del arco en el banco
    .en = Stiffness of the arch on the bench
said-walking-on-and-on = Andar sin parar
    .en = Walking on and on
said-running-jumping-missing-a-step = Correr, saltar, perder un escalón
    .en = Running, jumping, missing a step
said-modulus-n-mpa-n-to-n-mpa-read = módulo { $n1 } MPa, de { $n2 } a { $n3 } MPa (leído)
    .en = modulus # MPa, # to # MPa (read)
said-modulus-n-mpa-n-to-n-mpa-unconfirmed = módulo { $n1 } MPa, de { $n2 } a { $n3 } MPa (sin confirmar)
    .en = modulus # MPa, # to # MPa (unconfirmed)
said-the-layers-own-constants-recalled = las constantes propias de las capas, de memoria
    .en = the layers' own constants, recalled
said-a-load-that-stays-plastics-creep-and-a-shell-stood-on-fo-100 = Una carga que permanece: los plásticos fluyen, y un cuerpo pisado durante horas cede más que en un paso
    .en = A load that stays: plastics creep, and a shell stood on for hours bends further than a step bends it
said-warmth-plastics-soften-in-a-hot-shoe-a-little-in-a-hot-c-70 = El calor: los plásticos se ablandan, en un zapato caliente un poco, en un coche caliente para siempre
    .en = Warmth: plastics soften, in a hot shoe a little, in a hot car for good
said-how-a-print-was-built-layers-direction-and-pores-make-so-86 = Cómo se imprimió: capas, dirección y poros hacen unos sitios más débiles que otros
    .en = How a print was built: layers, direction and pores make some places weaker than others
said-the-shoe-its-inside-is-no-flat-plate-its-heel-counter-an-101 = El zapato: por dentro no es una placa plana, su contrafuerte y sus cordones sujetan el cuerpo, su suela cede
    .en = The shoe: its inside is no flat plate, its heel counter and lacing hold the shell, its sole gives way
said-the-foot-skin-fat-and-muscle-spread-and-shift-the-load = El pie: piel, grasa y músculo reparten y desplazan la carga
    .en = The foot: skin, fat and muscle spread and shift the load
said-here-it-is-a-fixed-share-on-each-region = aquí es una parte fija en cada región
    .en = here it is a fixed share on each region
said-the-heel-s-own-roundness-it-holds-a-cup-in-shape-from-in-61 = La redondez propia del talón: mantiene la forma de la copa desde dentro
    .en = The heel's own roundness: it holds a cup in shape from inside
said-a-cup-without-a-post-stands-on-a-small-place-here-and-fl-96 = Una copa sin cuña se apoya aquí en un sitio pequeño y se aplana, así que su tensión sale demasiado alta
    .en = A cup without a post stands on a small place here and flattens, so its stress comes out too high
said-time-impact-damping-and-how-fast-a-load-comes = El tiempo: choque, amortiguación y lo deprisa que llega la carga
    .en = Time: impact, damping and how fast a load comes
said-the-scatter-of-fatigue-figures-are-of-test-bars-few-in-n-98 = La dispersión de la fatiga: las cifras son de probetas, pocas, cargadas de otra manera que un cuerpo
    .en = The scatter of fatigue: figures are of test bars, few in number, loaded in other ways than a shell
said-edges-letters-and-grooves-roundings-and-raised-marks-are-100 = Bordes, letras y surcos: los redondeos y las marcas en relieve no están en la malla, ni lo que empieza un arañazo
    .en = Edges, letters and grooves: roundings and raised marks are not in the net, nor what a scratch begins
said-posts-that-give-way-they-are-taken-as-stiff = Cuñas que ceden: se toman como rígidas
    .en = Posts that give way: they are taken as stiff
said-how-far-each-would-shorten-is-told-beside-the-result = cuánto se acortaría cada una se dice junto al resultado
    .en = how far each would shorten is told beside the result
said-large-motion-every-figure-is-of-small-motion = Movimiento grande: toda cifra es de movimiento pequeño
    .en = Large motion: every figure is of small motion
said-where-the-arch-drops-by-more-than-the-wall-is-thick-it-i-64 = donde el arco baja más que el grosor de la pared, es aproximada
    .en = where the arch drops by more than the wall is thick, it is rough
said-layers-that-part-a-laminate-is-held-against-no-strength--72 = Capas que se separan: un laminado no se compara aquí con una resistencia propia
    .en = Layers that part: a laminate is held against no strength of its own here

## Criterios y razones entre colegas

said-a-brace-needs-a-deep-wide-shoe = Una férula necesita un zapato hondo y ancho
    .en = A brace needs a deep, wide shoe
said-a-hot-swollen-tendon-comes-to-rest-only-when-it-is-held = Un tendón caliente e hinchado solo descansa si se sujeta
    .en = A hot, swollen tendon comes to rest only when it is held
said-a-patient-page-gives-n-to-n-weeks = Una página para pacientes da { $n1 } a { $n2 } semanas
    .en = A patient page gives # to # weeks
said-a-sheath-that-stays-inflamed-after-boot-and-rest-with-a--81 = Una vaina que sigue inflamada tras bota y reposo, con el tendón entero demostrado
    .en = A sheath that stays inflamed after boot and rest, with a tendon shown to be whole
said-a-stiff-foot-is-held-as-it-is-not-forced-straight = Un pie rígido se sujeta como está, no se fuerza recto
    .en = A stiff foot is held as it is, not forced straight
said-age-and-weight-count = cuentan la edad y el peso
    .en = age and weight count
said-align-and-balance-first-and-keep-motion-where-possible = Primero alinear y equilibrar, y conservar el movimiento si se puede
    .en = Align and balance first and keep motion where possible
said-ankle-bone-lost-ligament-holds = tobillo: hueso perdido, el ligamento aguanta
    .en = ankle: bone lost, ligament holds
said-ankle-bone-lost-ligament-lax = tobillo: hueso perdido, ligamento laxo
    .en = ankle: bone lost, ligament lax
said-ankle-ligament-lax-no-wear = tobillo: ligamento laxo, sin desgaste
    .en = ankle: ligament lax, no wear
said-ankle-ligament-lax-worn = tobillo: ligamento laxo, gastado
    .en = ankle: ligament lax, worn
said-ankle-neutral = tobillo: neutro
    .en = ankle: neutral
said-ankle-said-to-tilt-outwards-on-a-standing-film = Se dice que el tobillo se inclina hacia fuera en una radiografía de pie
    .en = Ankle said to tilt outwards on a standing film
said-ankle-tilt-corrects-little-wear = la inclinación del tobillo se corrige, poco desgaste
    .en = ankle tilt corrects, little wear
said-ankle-tilt-stiff-or-ankle-worn = inclinación del tobillo rígida o tobillo gastado
    .en = ankle tilt stiff or ankle worn
said-ankle-tilts-less-than-n = tobillo: se inclina menos de { $n1 }°
    .en = ankle: tilts less than #°
said-ankle-tilts-outwards = el tobillo se inclina hacia fuera
    .en = ankle tilts outwards
said-arch-appears-on-tiptoe = El arco aparece de puntillas
    .en = Arch appears on tiptoe
said-arch-appears-when-sitting = El arco aparece sentado
    .en = Arch appears when sitting
said-at-least-one-film-reading-lies-beyond-its-limit = Al menos una lectura de la radiografía pasa su límite
    .en = At least one film reading lies beyond its limit
said-cord-stretch-and-hip-only-a-stiff-heel-is-not-trained-by-71 = Solo estirar el tendón de Aquiles y cadera: un talón rígido no se entrena girándolo hacia dentro
    .en = Cord stretch and hip only: a stiff heel is not trained by turning it in
said-first-ray-loose = Primer radio suelto
    .en = First ray loose
said-first-tarsometatarsal-joint-worn = Primera articulación tarsometatarsiana gastada
    .en = First tarsometatarsal joint worn
said-flat-and-no-arch-on-tiptoe-nor-when-sitting = Plano, y sin arco ni de puntillas ni sentado
    .en = Flat, and no arch on tiptoe nor when sitting
said-flexible-and-painless = flexible y sin dolor
    .en = flexible and painless
said-flexible-painless-as-usual-for-the-age-reassure = flexible, sin dolor, lo usual para la edad: tranquilizar
    .en = flexible, painless, as usual for the age: reassure
said-for-a-flare-of-pain = Para un brote de dolor
    .en = For a flare of pain
said-forefoot-drifts-outwards-to-the-eye = El antepié se desvía hacia fuera a la vista
    .en = Forefoot drifts outwards to the eye
said-forefoot-fixed-turned-up = Antepié levantado y fijo
    .en = Forefoot fixed turned up
said-general-strength-and-balance-only = solo fuerza general y equilibrio
    .en = general strength and balance only
said-heel-and-talus-do-not-move-against-each-other = Talón y astrágalo no se mueven entre sí
    .en = Heel and talus do not move against each other
said-heel-clearly-outwards-to-the-eye = Talón claramente hacia fuera a la vista
    .en = Heel clearly outwards to the eye
said-heel-comes-to-neutral-by-hand = El talón llega a neutro con la mano
    .en = Heel comes to neutral by hand
said-heel-corrects-forefoot-drifts-outwards = el talón se corrige, el antepié se desvía hacia fuera
    .en = heel corrects, forefoot drifts outwards
said-heel-corrects-forefoot-fixed-turned-up = el talón se corrige, antepié levantado y fijo
    .en = heel corrects, forefoot fixed turned up
said-heel-corrects-forefoot-fixed-turned-up-inner-column-unst-62 = el talón se corrige, antepié levantado y fijo, columna interna inestable
    .en = heel corrects, forefoot fixed turned up, inner column unstable
said-heel-corrects-forefoot-turned-up-and-flexible = el talón se corrige, antepié levantado y flexible
    .en = heel corrects, forefoot turned up and flexible
said-heel-does-not-turn-in-when-rising = El talón no gira hacia dentro al subir
    .en = Heel does not turn in when rising
said-heel-stiff-forefoot-drifts-outwards = talón rígido, el antepié se desvía hacia fuera
    .en = heel stiff, forefoot drifts outwards
said-heel-stiff-pain-at-the-outer-side-forefoot-in-line = talón rígido, dolor en el lado externo, antepié en línea
    .en = heel stiff, pain at the outer side, forefoot in line
said-hindfoot-flexible-far-gone = retropié: flexible, muy avanzado
    .en = hindfoot: flexible, far gone
said-hindfoot-flexible-less-far-gone = retropié: flexible, menos avanzado
    .en = hindfoot: flexible, less far gone
said-hindfoot-sheath-inflamed-in-line = retropié: vaina inflamada, en línea
    .en = hindfoot: sheath inflamed, in line
said-hindfoot-stiff-or-worn-far-gone = retropié: rígido o gastado, muy avanzado
    .en = hindfoot: stiff or worn, far gone
said-hindfoot-stiff-or-worn-less-far-gone = retropié: rígido o gastado, menos avanzado
    .en = hindfoot: stiff or worn, less far gone
said-hindfoot-tendon-changed-in-line = retropié: tendón alterado, en línea
    .en = hindfoot: tendon changed, in line
said-hospital-guideline-no-orthosis-and-no-routine-referral-f-86 = Guía de hospital: ni plantilla ni remisión de rutina en el pie flexible sin dolor
    .en = Hospital guideline: no orthosis and no routine referral for the painless flexible foot
said-inflammatory-disease-normal-shape = enfermedad inflamatoria, forma normal
    .en = inflammatory disease, normal shape
said-it-treats-swelling-and-comfort = trata hinchazón y alivio
    .en = it treats swelling and comfort
said-local-formularies-were-read = Se leyeron guías locales de medicamentos
    .en = Local formularies were read
said-midfoot-inner-and-middle-column-worn = mediopié: columnas interna y media gastadas
    .en = midfoot: inner and middle column worn
said-midfoot-inner-column-worn = mediopié: columna interna gastada
    .en = midfoot: inner column worn
said-midfoot-neutral = mediopié: neutro
    .en = midfoot: neutral
said-midfoot-turned-up-flexible = mediopié: levantado, flexible
    .en = midfoot: turned up, flexible
said-midfoot-turned-up-stays-stable = mediopié: levantado, permanece, estable
    .en = midfoot: turned up, stays, stable
said-midfoot-turned-up-unstable = mediopié: levantado, inestable
    .en = midfoot: turned up, unstable
said-moulded-braces-made-up-n-of-n-feet-in-a-series-with-n-go-73 = Las férulas moldeadas fueron { $n1 } de { $n2 } pies en una serie con { $n3 } % bien o muy bien
    .en = Moulded braces made up # of # feet in a series with # % good or excellent
said-n-children = { $n1 } niños
    .en = # children
said-n-feet-with-stage-ii-double-upright-brace-n-years-n-out--120 = { $n1 } pies en estadio II, férula de doble barra, { $n2 } años: { $n3 } % sin férula y sin cirugía, { $n4 } % aún con ella, { $n5 } % operados
    .en = # feet with stage II, double-upright brace, # years: # % out of the brace without surgery, # % still in it, # % operated
said-n-injections-under-ultrasound-in-n-people-n-good-relief--115 = { $n1 } infiltraciones con ecografía en { $n2 } personas: { $n3 } % con buen alivio o mejor, { $n4 } % acabó en cirugía, sin complicaciones anotadas
    .en = # injections under ultrasound in # people: # % good relief or better, # % came to surgery, no complication recorded
said-n-people-stages-i-to-iii-about-nine-in-ten-better = { $n1 } personas, estadios I a III: unas nueve de diez mejor
    .en = # people, stages I to III: about nine in ten better
said-n-randomised-n-finished-n-years-or-more-all-groups-impro-90 = { $n1 } asignados al azar, { $n2 } terminaron, { $n3 } años o más: todos los grupos mejoraron igual, también los no tratados
    .en = # randomised, # finished, # years or more: all groups improved alike, those left alone too
said-n-to-n-weeks-and-a-trial-of-n-months-before-surgery-are--80 = { $n1 } a { $n2 } semanas y una prueba de { $n3 } meses antes de operar se recuerdan y están sin confirmar
    .en = # to # weeks and a trial of # months before surgery are recalled and unconfirmed
said-naviculocuneiform-joint-worn = Articulación naviculocuneiforme gastada
    .en = Naviculocuneiform joint worn
said-no-forefoot-varus-is-left-or-it-comes-down = No queda varo del antepié, o baja
    .en = No forefoot varus is left, or it comes down
said-no-gain-in-n-months-or-a-tear = Sin mejora en { $n1 } meses, o rotura
    .en = No gain in # months, or a tear
said-no-loaded-turning-in = Sin girar hacia dentro con carga
    .en = No loaded turning in
said-no-single-heel-rise = Sin elevación sobre un talón
    .en = No single heel rise
said-no-trial-in-tendon-trouble-was-found = No se halló ningún ensayo en tendones dañados
    .en = No trial in tendon trouble was found
said-no-trial-in-this-condition-was-found = no se halló ningún ensayo en esta dolencia
    .en = no trial in this condition was found
said-no-trial-of-shoes-alone-in-this-condition-was-found = No se halló ningún ensayo de zapatos solos en esta dolencia
    .en = No trial of shoes alone in this condition was found
said-not-flat-when-standing = no plano de pie
    .en = not flat when standing
said-of-doubtful-use-otherwise = de dudosa utilidad en lo demás
    .en = of doubtful use otherwise
said-on-finding-it-an-ankle-that-tilts-does-not-wait-well = Al hallarlo: un tobillo que se inclina no espera bien
    .en = On finding it: an ankle that tilts does not wait well
said-on-finding-it-when-painful-and-fit-for-it = Al hallarlo, si duele y hay aptitud
    .en = On finding it, when painful and fit for it
said-one-of-the-signs-for-amber = Uno de los signos de ámbar
    .en = One of the signs for amber
said-only-by-a-specialist-the-tendon-is-already-stretched-and-66 = Solo por un especialista: el tendón ya está estirado y puede romperse
    .en = Only by a specialist: the tendon is already stretched and may tear
said-pain-at-the-navicular = Dolor en el navicular
    .en = Pain at the navicular
said-pain-of-joints-and-tendon = Dolor de articulaciones y tendón
    .en = Pain of joints and tendon
said-pain-of-n-or-more-of-n-at-its-worst-this-week = Dolor de { $n1 } o más de { $n2 } en su peor momento de esta semana
    .en = Pain of # or more of # at its worst this week
said-pain-while-the-tendon-is-being-rested = Dolor mientras descansa el tendón
    .en = Pain while the tendon is being rested
said-partial-tear-heel-a-little-outwards = rotura parcial, talón un poco hacia fuera
    .en = partial tear, heel a little outwards
said-partial-tear-normal-line = rotura parcial, línea normal
    .en = partial tear, normal line
said-pinching-at-the-sinus-tarsi = Pinzamiento en el seno del tarso
    .en = Pinching at the sinus tarsi
said-posture-total-over-n-and-loose-joints = Suma de postura mayor de +{ $n1 } y articulaciones laxas
    .en = Posture total over +# and loose joints
said-ready-made-ones-let-the-forefoot-drift = las prefabricadas dejan que el antepié se desvíe
    .en = ready-made ones let the forefoot drift
said-recalled-not-read = de memoria, no leído
    .en = recalled, not read
said-refer-when-rigid-painful-asymmetric-tender-at-a-point-or-105 = Remitir si es rígido, doloroso, asimétrico, duele en un punto, o si el niño no puede correr y saltar como otros
    .en = Refer when rigid, painful, asymmetric, tender at a point, or when the child cannot run and jump as others
said-results-could-not-be-pooled = los resultados no se pudieron reunir
    .en = results could not be pooled
said-review-of-n-trials-very-low-to-low-certainty = revisión de { $n1 } ensayos, certeza muy baja a baja
    .en = review of # trials, very low to low certainty
said-rigid-and-painful = rígido y doloroso
    .en = rigid and painful
said-rigid-and-painless = rígido y sin dolor
    .en = rigid and painless
said-rigid-one-sided-new-or-with-a-warning-sign-image-or-refe-60 = rígido, de un lado, nuevo o con un signo de aviso: imagen o remitir
    .en = rigid, one-sided, new or with a warning sign: image or refer
said-room-and-a-rocker-spare-stiff-joints = Sitio y un balancín alivian las articulaciones rígidas
    .en = Room and a rocker spare stiff joints
said-series-unconfirmed = serie, sin confirmar
    .en = series, unconfirmed
said-sore-tendon-heel-in-line = tendón dolorido, talón en línea
    .en = sore tendon, heel in line
said-stages-are-mixed = los estadios están mezclados
    .en = stages are mixed
said-swelling-in-a-flare = Hinchazón en un brote
    .en = Swelling in a flare
said-talus-leans-into-valgus-by-more-than-n-on-the-standing-a-66 = El astrágalo se inclina en valgo más de { $n1 }° en la radiografía de tobillo de pie
    .en = Talus leans into valgus by more than #° on the standing ankle film
said-the-ankle-itself-gives-way-and-has-to-be-held = El propio tobillo cede y hay que sujetarlo
    .en = The ankle itself gives way and has to be held
said-the-ankle-s-tilt-corrects = La inclinación del tobillo se corrige
    .en = The ankle's tilt corrects
said-the-ankle-s-tilt-corrects-and-the-ankle-is-little-worn = La inclinación del tobillo se corrige y el tobillo está poco gastado
    .en = The ankle's tilt corrects and the ankle is little worn
said-the-drift-corrects = La desviación se corrige
    .en = The drift corrects
said-the-foot-around-the-talus-corrects = El pie alrededor del astrágalo se corrige
    .en = The foot around the talus corrects
said-the-heel-corrects = El talón se corrige
    .en = The heel corrects
said-the-heel-corrects-and-the-subtalar-joint-is-not-worn = El talón se corrige y la articulación subtalar no está gastada
    .en = The heel corrects and the subtalar joint is not worn
said-the-same-while-it-is-hot = Lo mismo, mientras esté caliente
    .en = The same, while it is hot
said-the-tendon-gives-a-sign-or-the-heel-stands-outwards = El tendón da un signo o el talón está hacia fuera
    .en = The tendon gives a sign or the heel stands outwards
said-the-tendon-gives-a-sign-or-the-outer-side-hurts = El tendón da un signo o duele el lado externo
    .en = The tendon gives a sign or the outer side hurts
said-the-tendon-is-sore-or-swollen = El tendón está dolorido o hinchado
    .en = The tendon is sore or swollen
said-the-tendon-is-sore-swollen-weak-or-fails-to-lift-the-hee-59 = El tendón está dolorido, hinchado, débil o no levanta el talón
    .en = The tendon is sore, swollen, weak or fails to lift the heel
said-three-braces-in-one-woman-small-inward-turn-of-the-heel = Tres férulas en una mujer: pequeño giro del talón hacia dentro
    .en = Three braces in one woman: small inward turn of the heel
said-when-a-gauntlet-does-not-take-the-pain = Si la férula de cuero no quita el dolor
    .en = When a gauntlet does not take the pain
said-when-a-solid-brace-is-not-tolerated = Si no se tolera una férula rígida
    .en = When a solid brace is not tolerated

## What was given, measured and checked

ask-accompanied_by = Quién acompañó al niño o a la niña
    .en = Who came with the child
ask-allergy_anaesthetic = Alergia a un anestésico local
    .en = Allergy to a local anaesthetic
ask-allergy_latex_plaster = Alergia al látex o al esparadrapo
    .en = Allergy to latex or plaster
ask-allergy_steroid = Alergia a un corticoide infiltrado
    .en = Allergy to an injected corticosteroid
ask-boot_arch = Arco apoyado dentro de ella
    .en = Arch supported inside it
ask-boot_clot_asked = Se preguntó por el riesgo de trombosis
    .en = Risk of a clot asked about
ask-boot_kind = Cuál
    .en = Which
ask-boot_lift = Alza en el otro zapato
    .en = Lift under the other shoe
ask-boot_weeks = Previsto para
    .en = Planned for
ask-check_after_run = Dolor al día siguiente de la primera carrera, 0 a 10
    .en = Pain the day after a first run, 0 to 10
ask-check_deficit = Fuerza que falta respecto al otro lado
    .en = Strength missing against the other side
ask-check_during = Dolor al hacer los ejercicios, 0 a 10
    .en = Pain while doing the exercises, 0 to 10
ask-check_each = Repeticiones hechas de cada ejercicio en casa
    .en = Repetitions done of each home exercise
ask-check_easy = La carga ya resulta fácil
    .en = The load is easy now
ask-check_fits = Ajuste
    .en = Fit
ask-check_hop = Salto, más corto que el otro lado en
    .en = Hop, shorter than the other side by
ask-check_hours = Llevado, horas al día
    .en = Worn, hours a day
ask-check_load = Carga alcanzada
    .en = Load reached
ask-check_lunge = Rodilla a la pared, menos que el otro lado en
    .en = Knee to the wall, less than the other side by
ask-check_outcome = Qué sigue
    .en = What follows
ask-check_pain = Dolor, 0 a 10
    .en = Pain, 0 to 10
ask-check_settled = Calmado al día siguiente
    .en = Settled by the next day
ask-check_toe_walk = Metros andados de puntillas
    .en = Metres walked on the toes
ask-check_where = Dónde roza o aprieta
    .en = Where it rubs or presses
ask-check_words = En sus palabras
    .en = In your words
ask-consent_by = Quién consintió la exploración y el tratamiento
    .en = Who agreed to examination and treatment
ask-device_break_in_told = Explicado cómo acostumbrarse
    .en = Breaking in explained
ask-device_hours = Horas al día que debe llevarse
    .en = Hours a day it is meant to be worn
ask-device_kind = Cuál
    .en = Which
ask-device_order = Código del pedido
    .en = Order code
ask-device_shoe_counter = Zapato con contrafuerte firme
    .en = Shoe with a firm heel counter
ask-device_shoe_depth = Zapato bastante hondo para ella
    .en = Shoe deep enough for it
ask-device_shoe_width = Zapato bastante ancho, de base estable
    .en = Shoe wide enough, on a stable base
ask-device_words = En sus palabras
    .en = In your words
ask-does_sport = Deporte o juego
    .en = Sport or play
ask-does_stairs = Escaleras
    .en = Stairs
ask-does_stand = Estar de pie media hora
    .en = Standing half an hour
ask-does_uneven = Suelo irregular
    .en = Uneven ground
ask-does_walk_ten = Andar diez minutos
    .en = Walking ten minutes
ask-does_work = Trabajo o escuela
    .en = Work or school
ask-ffi_disability_items = Preguntas contestadas de 9, discapacidad
    .en = Items answered of 9, disability
ask-ffi_disability_sum = Foot Function Index, discapacidad: suma
    .en = Foot Function Index, disability: sum
ask-ffi_item_most = Valor más alto de una pregunta
    .en = Highest value one item can have
ask-ffi_limitation_items = Preguntas contestadas de 5, limitación
    .en = Items answered of 5, limitation
ask-ffi_limitation_sum = Foot Function Index, limitación: suma
    .en = Foot Function Index, limitation: sum
ask-ffi_pain_items = Preguntas contestadas de 9
    .en = Items answered of 9
ask-ffi_pain_sum = Foot Function Index, dolor: suma
    .en = Foot Function Index, pain: sum
ask-girth_ankle = Alrededor del tobillo
    .en = Round the ankle
ask-girth_below_knee = Bajo la rodilla
    .en = Below the knee
ask-girth_calf = Alrededor de la pantorrilla
    .en = Round the calf
ask-girth_heads = Alrededor de las cabezas metatarsianas
    .en = Round the metatarsal heads
ask-girth_heel = Alrededor de talón y empeine
    .en = Round heel and instep
ask-girth_instep = Alrededor del empeine
    .en = Round the instep
ask-height_ankle = Donde se tomó el contorno del tobillo
    .en = Where the ankle's girth was taken
ask-height_below_knee = Donde se tomó el contorno bajo la rodilla
    .en = Where the girth below the knee was taken
ask-height_calf = Donde se tomó el contorno de la pantorrilla
    .en = Where the calf's girth was taken
ask-height_lateral_malleolus = Punta del maléolo externo
    .en = Tip of the outer ankle
ask-height_medial_malleolus = Punta del maléolo interno
    .en = Tip of the inner ankle
ask-height_navicular = Escafoides
    .en = Navicular
ask-injection_boot_after = Después, en una bota
    .en = Held in a boot afterwards
ask-injection_class = Clase de fármaco
    .en = Class of drug
ask-injection_consent = Riesgos explicados y aceptados
    .en = Risks told and agreed to
ask-injection_days_after = Días tras la infiltración
    .en = Days after the injection
ask-injection_guidance = Guiada por
    .en = Guided by
ask-injection_joint = Qué otra articulación
    .en = Which other joint
ask-injection_nevertheless = Por qué se hizo aunque algo lo desaconsejaba
    .en = Why it was given although something spoke against it
ask-injection_pain_after = Dolor después, 0 a 10
    .en = Pain afterwards, 0 to 10
ask-injection_pain_before = Dolor justo antes, 0 a 10
    .en = Pain just before, 0 to 10
ask-injection_site = Dónde
    .en = Where
ask-injection_volume = Volumen
    .en = Volume
ask-leg_foot_length = Pie, del talón al dedo más largo
    .en = Foot, heel to longest toe
ask-leg_held = Talón sujeto
    .en = Heel held
ask-leg_laces = Cierre
    .en = Closing it
ask-leg_posture = Medido
    .en = Measured
ask-leg_swelling_mm = Contorno del tobillo, por la tarde mayor que por la mañana en
    .en = Ankle girth, evening more than morning by
ask-leg_time = Hora del día
    .en = Time of day
ask-leg_words = Para el taller, en sus palabras
    .en = For the lab, in your words
ask-medicine_class = Clase
    .en = Class
ask-medicine_way = Cómo
    .en = How
ask-medicine_words = Quién lo recetó y qué se acordó
    .en = Who prescribed it, and what was agreed
ask-op_ankle = Deltoideo o tobillo operado
    .en = Deltoid or ankle operated on
ask-op_by = Por quién, dónde
    .en = By whom, where
ask-op_calf = Pantorrilla o tendón alargado
    .en = Calf or cord lengthened
ask-op_lengthening = Columna externa alargada
    .en = Outer column lengthened
ask-op_medial_fusion = Articulación de la columna interna fijada
    .en = Joint of the inner column fused
ask-op_slide = Calcáneo cortado y deslizado hacia dentro
    .en = Heel bone cut and slid inwards
ask-op_spring = Ligamento en hamaca reconstruido
    .en = Spring ligament rebuilt
ask-op_subtalar = Articulación subastragalina fijada
    .en = Subtalar joint fused
ask-op_transfer = Flexor largo de los dedos transferido
    .en = Long toe flexor transferred
ask-op_triple = Tres articulaciones del retropié fijadas
    .en = Three hindfoot joints fused
ask-op_wedge = Cuña en el cuneiforme medial
    .en = Wedge into the medial cuneiform
ask-op_words = En sus palabras
    .en = In your words
ask-promis_function = Función física, puntuación T
    .en = Physical function, T-score
ask-promis_interference = Interferencia del dolor, puntuación T
    .en = Pain interference, T-score
ask-relief_above_floor = Su centro, sobre el suelo
    .en = Its middle, above the floor
ask-relief_from_heel = Su centro, desde la parte de atrás del talón
    .en = Its middle, from the back of the heel
ask-relief_height = Cuánto de alto
    .en = How high
ask-relief_length = Cuánto de largo
    .en = How long
ask-relief_out = Cuánto sobresale
    .en = How far it stands out
ask-relief_tender = Duele al tocar ahí
    .en = Tender there
ask-therapy_band_load = Carga
    .en = Load
ask-therapy_band_repetitions = Repeticiones en una serie
    .en = Repetitions in a set
ask-therapy_band_sets = Girar hacia dentro y abajo contra una banda: series
    .en = Turning in and down against a band: sets
ask-therapy_band_times = Veces al día
    .en = Times a day
ask-therapy_led = Se hace
    .en = Done
ask-therapy_pain_limit = Dolor permitido al hacerlo, 0 a 10
    .en = Pain allowed while doing it, 0 to 10
ask-therapy_phase = Fase
    .en = Phase
ask-therapy_rise_repetitions = Elevaciones de talón al día
    .en = Heel rises a day
ask-therapy_stretch_seconds = Segundos cada uno
    .en = Seconds each
ask-therapy_stretch_sets = Estiramiento de pantorrilla, talón en posición neutra: estiramientos cada vez
    .en = Calf stretch, heel held neutral: stretches each time
ask-therapy_stretch_times = Veces al día de estiramiento
    .en = Times a day for stretching
ask-therapy_toe_walk = Metros de puntillas al día
    .en = Metres on the toes a day
ask-therapy_words = En sus palabras
    .en = In your words
ask-width_heads = Ancho en las cabezas metatarsianas
    .en = Width at the metatarsal heads
ask-width_heel = Ancho del talón
    .en = Width of the heel
ask-width_malleoli = Ancho entre los maléolos
    .en = Width over the malleoli
ask-wrap_days = Cambiar tras
    .en = Change after
ask-wrap_flow = Circulación mirada antes
    .en = Flow looked at before
ask-wrap_kind = Cuál
    .en = Which
said-a-guardian = un tutor o una tutora
    .en = a guardian
said-a-parent = el padre o la madre
    .en = a parent
said-about-midday = hacia el mediodía
    .en = about midday
said-adjust-and-look-again = ajustar y mirar de nuevo
    .en = adjust and look again
said-ankle-brachial-index-measured = índice tobillo-brazo medido
    .en = ankle-brachial index measured
said-ankle-joint = articulación del tobillo
    .en = ankle joint
said-another-class = otra clase
    .en = another class
said-another-joint-named-below = otra articulación, nombrada abajo
    .en = another joint, named below
said-anti-inflammatory = antiinflamatorio
    .en = anti-inflammatory
said-as-before = como antes
    .en = as before
said-as-the-foot-is = tal como está el pie
    .en = as the foot is
said-at-home-from-the-sheet = en casa, con la hoja
    .en = at home, from the sheet
said-at-the-tendon-s-insertion = en la inserción del tendón
    .en = at the tendon's insertion
said-back-to-walking-far-running-sport = volver a andar lejos, correr, deporte
    .en = back to walking far, running, sport
said-blister-or-open = ampolla o abierta
    .en = blister or open
said-both-pulses-felt = los dos pulsos palpables
    .en = both pulses felt
said-broken = rota
    .en = broken
said-building-strength = ganar fuerza
    .en = building strength
said-callus-or-redness-at-the-bone = callo o rojez sobre el hueso
    .en = callus or redness at the bone
said-corticosteroid = corticoide
    .en = corticosteroid
said-corticosteroid-with-local-anaesthetic = corticoide con anestésico local
    .en = corticosteroid with local anaesthetic
said-elastic-wrap = vendaje elástico
    .en = elastic wrap
said-fits = ajusta
    .en = fits
said-foot-hanging-free = pie colgando libre
    .en = foot hanging free
said-foot-orthosis = plantilla
    .en = foot orthosis
said-goes-on-as-it-is = sigue como está
    .en = goes on as it is
said-held-as-far-in-line-as-it-goes-without-force = alineado hasta donde llega sin forzar
    .en = held as far in line as it goes without force
said-hyaluronate = hialuronato
    .en = hyaluronate
said-in-the-evening = por la tarde
    .en = in the evening
said-in-the-morning = por la mañana
    .en = in the morning
said-laces-alone = se ata sin ayuda
    .en = laces alone
said-local-anaesthetic = anestésico local
    .en = local anaesthetic
said-neither = ninguna de las dos
    .en = neither
said-nobody = nadie
    .en = nobody
said-nobody-yet = nadie todavía
    .en = nobody yet
said-not-in-heart-failure-without-asking-whoever-treats-it = Con insuficiencia cardíaca, no sin preguntar a quien la trata
    .en = Not in heart failure without asking whoever treats it
said-not-on-a-leg-that-does-not-feel-it-nobody-would-notice-t-76 = No en una pierna que no lo siente: nadie notaría que aprieta demasiado
    .en = Not on a leg that does not feel it: nobody would notice that it is too tight
said-not-while-a-clot-is-suspected = No mientras se sospeche una trombosis
    .en = Not while a clot is suspected
said-on-the-skin = sobre la piel
    .en = on the skin
said-paracetamol = paracetamol
    .en = paracetamol
said-red-gone-within-half-an-hour = roja, se va en media hora
    .en = red, gone within half an hour
said-red-stays = roja, no se va
    .en = red, stays
said-rubs-or-presses = roza o aprieta
    .en = rubs or presses
said-settling-no-load-on-the-tendon = calmar: sin carga en el tendón
    .en = settling: no load on the tendon
said-shoe-or-shoe-change = zapato o cambio en el zapato
    .en = shoe or shoe change
said-short-cast = yeso corto
    .en = short cast
said-sinus-tarsi = seno del tarso
    .en = sinus tarsi
said-sitting-foot-on-the-floor = sentado, pie en el suelo
    .en = sitting, foot on the floor
said-slips-or-turns = resbala o gira
    .en = slips or turns
said-somebody-else-named-in-the-note = otra persona, nombrada en la nota
    .en = somebody else, named in the note
said-stop = dejarlo
    .en = stop
said-straps-only = solo correas
    .en = straps only
said-subtalar-joint = articulación subastragalina
    .en = subtalar joint
said-tablets = comprimidos
    .en = tablets
said-talonavicular-joint = articulación astrágalo-escafoidea
    .en = talonavicular joint
said-tendon-sheath = vaina del tendón
    .en = tendon sheath
said-the-young-person-able-to-decide = la persona joven, capaz de decidir
    .en = the young person, able to decide
said-thin-or-fragile = fina o frágil
    .en = thin or fragile
said-ultrasound = ecografía
    .en = ultrasound
said-walking-boot = bota de marcha
    .en = walking boot
said-with-a-therapist = con fisioterapeuta
    .en = with a therapist
said-with-effort = con esfuerzo
    .en = with effort
said-with-somebody-s-help = con ayuda de alguien
    .en = with somebody's help
said-x-ray = radioscopia
    .en = X-ray
said-zinc-paste-wrap = vendaje de pasta de zinc
    .en = zinc-paste wrap
section-bone-to-leave-free = Hueso que hay que dejar libre
    .en = Bone to leave free
section-boot-or-cast = Bota o yeso
    .en = Boot or cast
section-check = Revisión
    .en = Check
section-device = Ortesis o calzado
    .en = Device
section-girths = Contornos
    .en = Girths
section-heights-above-the-floor = Alturas sobre el suelo
    .en = Heights above the floor
section-how-it-was-measured = Cómo se midió
    .en = How it was measured
section-injection = Infiltración
    .en = Injection
section-lengths-and-widths = Largos y anchos
    .en = Lengths and widths
section-medicine = Medicamento
    .en = Medicine
section-operation = Operación
    .en = Operation
section-skin-and-swelling = Piel e hinchazón
    .en = Skin and swelling
section-what-it-allows = Qué permite
    .en = What it allows
section-wrap = Vendaje
    .en = Wrap
said-after-3-to-6-months = tras { $n1 } a { $n2 } meses
    .en = after # to # months
said-pain-one-side-stiffness-play = Dolor, un solo lado, rigidez, juego; una visita más por práctica común, sin tratamiento
    .en = Pain, one side, stiffness, play; a new visit by common practice, no treatment
said-it-is-getting-worse = Va a peor: buscar la causa antes de cualquier apoyo.
    .en = It is getting worse: look for the cause before any support.

## How a film got its scale

said-scale-n-mm-for-each-pixel = { $n1 } mm por píxel
    .en = # mm for each pixel
said-scale-n-mm-across-and-n-mm-down-for-each-pixel = { $n1 } mm a lo ancho y { $n2 } mm a lo alto por píxel
    .en = # mm across and # mm down for each pixel
said-scale-relative-standard-error-n = error estándar relativo { $n1 } %
    .en = relative standard error # %
said-scale-error-from-the-depth-of-the-bones-n-mm-common-practice = error por la profundidad de los huesos (± { $n1 } mm, práctica común)
    .en = error from the depth of the bones (± # mm, common practice)
said-scale-pixelspacing-corrected-by-the-sender-for-the-distances-of-the-film = PixelSpacing, corregido por quien la envía según las distancias de la radiografía
    .en = PixelSpacing, corrected by the sender for the distances of the film
said-scale-pixelspacing-calibrated-by-the-sender-on-an-object-of-known-size = PixelSpacing, calibrado por quien la envía con un objeto de tamaño conocido
    .en = PixelSpacing, calibrated by the sender on an object of known size
said-scale-pixelspacing-which-differs-from-the-detector-s-n-mm-so-the-sender-cali = PixelSpacing, distinto del del detector ({ $n1 } mm): quien la envía lo calibró sin decir cómo
    .en = PixelSpacing, which differs from the detector's (# mm), so the sender calibrated it without saying how
said-scale-a-ball-of-n-mm-fitted-to-n-edge-points-radius-n-px-error-n-at-a-depth = una bola de { $n1 } mm ajustada a { $n2 } puntos del borde (radio { $n3 } px, error { $n4 } %), a una profundidad a menos de { $n5 } mm de los huesos (práctica común)
    .en = a ball of # mm fitted to # edge points (radius # px, error # %), at a depth within # mm of the bones (common practice)
said-scale-a-known-length-of-n-mm-over-n-px-error-of-its-ends-n-at-a-depth-within = una longitud conocida de { $n1 } mm en { $n2 } px (error de sus extremos { $n3 } %), a una profundidad a menos de { $n4 } mm de los huesos (práctica común)
    .en = a known length of # mm over # px (error of its ends # %), at a depth within # mm of the bones (common practice)
said-scale-no-scale = Sin escala
    .en = No scale
said-scale-the-file-gives-no-pixel-spacing = el archivo no da el tamaño del píxel
    .en = the file gives no pixel spacing
said-scale-mark-a-ball-or-a-known-length-for-millimetres = marque una bola o una longitud conocida para tener milímetros
    .en = mark a ball or a known length for millimetres
said-scale-angles-work-without = los ángulos no la necesitan
    .en = angles work without
said-scale-angles-work = Los ángulos valen
    .en = Angles work
said-scale-millimetres-do-not = los milímetros no
    .en = millimetres do not
said-scale-use-a-ball-or-a-known-length-for-better = use una bola o una longitud conocida para mejorarla
    .en = use a ball or a known length for better
said-scale-imagerpixelspacing-n-mm-divided-by-the-magnification-n-that-the-file-s = ImagerPixelSpacing ({ $n1 } mm) dividido por el aumento { $n2 } que indica el archivo
    .en = ImagerPixelSpacing (# mm) divided by the magnification # that the file states
said-scale-imagerpixelspacing-n-mm-divided-by-the-magnification-n-from-the-file-s = ImagerPixelSpacing ({ $n1 } mm) dividido por el aumento { $n2 } de las dos distancias del foco que da el archivo
    .en = ImagerPixelSpacing (# mm) divided by the magnification # from the file's two distances of the source
said-scale-imagerpixelspacing-n-mm-divided-by-the-magnification-n-from-the-file-s-x = ImagerPixelSpacing ({ $n1 } mm) dividido por el aumento { $n2 } de la distancia del foco que da el archivo, { $n3 } mm, y los { $n4 } ± { $n5 } mm medidos entre pie y detector
    .en = ImagerPixelSpacing (# mm) divided by the magnification # from the file's source distance # mm and the measured # ± # mm between foot and detector
said-scale-imagerpixelspacing-n-mm-divided-by-the-magnification-n-from-a-source-d = ImagerPixelSpacing ({ $n1 } mm) dividido por el aumento { $n2 } de una distancia del foco de { $n3 } mm (habitual, sin confirmar) y los { $n4 } ± { $n5 } mm medidos entre pie y detector
    .en = ImagerPixelSpacing (# mm) divided by the magnification # from a source distance of # mm (usual, unconfirmed) and the measured # ± # mm between foot and detector
said-scale-imagerpixelspacing-n-mm-divided-by-the-usual-magnification-n-of-a-stan = ImagerPixelSpacing ({ $n1 } mm) dividido por el aumento habitual { $n2 } de una radiografía de pie en carga ({ $n3 } a { $n4 }, práctica común, sin confirmar), porque el archivo no indica ninguno
    .en = ImagerPixelSpacing (# mm) divided by the usual magnification # of a standing foot film (# to #, common practice, unconfirmed) because the file states none
said-scale-pixelspacing-n-mm-divided-by-the-magnification-n-that-the-file-states = PixelSpacing ({ $n1 } mm) dividido por el aumento { $n2 } que indica el archivo
    .en = PixelSpacing (# mm) divided by the magnification # that the file states
said-scale-pixelspacing-n-mm-divided-by-the-magnification-n-from-the-file-s-two-d = PixelSpacing ({ $n1 } mm) dividido por el aumento { $n2 } de las dos distancias del foco que da el archivo
    .en = PixelSpacing (# mm) divided by the magnification # from the file's two distances of the source
said-scale-pixelspacing-n-mm-divided-by-the-magnification-n-from-the-file-s-sourc = PixelSpacing ({ $n1 } mm) dividido por el aumento { $n2 } de la distancia del foco que da el archivo, { $n3 } mm, y los { $n4 } ± { $n5 } mm medidos entre pie y detector
    .en = PixelSpacing (# mm) divided by the magnification # from the file's source distance # mm and the measured # ± # mm between foot and detector
said-scale-pixelspacing-n-mm-divided-by-the-magnification-n-from-a-source-distanc = PixelSpacing ({ $n1 } mm) dividido por el aumento { $n2 } de una distancia del foco de { $n3 } mm (habitual, sin confirmar) y los { $n4 } ± { $n5 } mm medidos entre pie y detector
    .en = PixelSpacing (# mm) divided by the magnification # from a source distance of # mm (usual, unconfirmed) and the measured # ± # mm between foot and detector
said-scale-pixelspacing-n-mm-divided-by-the-usual-magnification-n-of-a-standing-f = PixelSpacing ({ $n1 } mm) dividido por el aumento habitual { $n2 } de una radiografía de pie en carga ({ $n3 } a { $n4 }, práctica común, sin confirmar), porque el archivo no indica ninguno
    .en = PixelSpacing (# mm) divided by the usual magnification # of a standing foot film (# to #, common practice, unconfirmed) because the file states none
