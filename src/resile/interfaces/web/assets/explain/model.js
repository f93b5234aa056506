// The invented binders in the browser: the same equations, numbers, words and lines as in Python.
// Springs and dashpots: resile/compute/rheology/single_push.py and viscoelastic_models.py; lines: report/explaining/geometry.py.
// Every number comes from /explain/model.json; a test holds this module to the Python one.

const PUSH_POINTS = 20;
const REST_POINTS = 60;
const GROUP = "\u202f";

/** Springs and dashpots of a binder at a stress [kPa] and a temperature [°C]. */
export function softened(binder, model, stress, temperature) {
  const heat = Math.exp(binder.slope_per_c * (temperature - model.grade_temperature_c));
  return {
    dashpot: binder.maxwell_dashpot_kpa_s / (heat * (1 + stress / binder.doubling_stress_kpa)),
    spring: binder.maxwell_spring_kpa,
    kelvinSpring: binder.kelvin_spring_kpa,
    kelvinDashpot: binder.kelvin_dashpot_kpa_s / heat,
  };
}

/** Strain per stress a time after a stress was put on [1/kPa]; just before that moment, none. */
function compliance(parts, elapsed) {
  if (elapsed < 1e-9) return 0;
  const retardation = parts.kelvinDashpot / parts.kelvinSpring;
  return 1 / parts.spring + elapsed / parts.dashpot - Math.expm1(-elapsed / retardation) / parts.kelvinSpring;
}

/** One push of a binder: ends, recovery, Jnr and the path between. */
export function pushOnce(binder, model, stress, temperature) {
  const parts = softened(binder, model, stress, temperature);
  const creep = model.creep_time_s;
  const rest = model.recovery_time_s;
  const strainAt = (time) => stress * (compliance(parts, time) - compliance(parts, time - creep));
  const times = [0, 2e-9];
  for (let n = 1; n <= PUSH_POINTS; n += 1) times.push((creep * n) / PUSH_POINTS);
  times.push(creep + 2e-9);
  for (let n = 1; n <= REST_POINTS; n += 1) times.push(creep + rest * (n / REST_POINTS) ** 2);
  const peak = strainAt(creep);
  const left = strainAt(creep + rest);
  return {
    stress_kpa: stress,
    temperature_c: temperature,
    creep_time_s: creep,
    recovery_time_s: rest,
    creep_strain: peak,
    recovered_strain: left,
    percent_recovery: (100 * (peak - left)) / peak,
    jnr: left / stress,
    time_s: times,
    strain: times.map(strainAt),
  };
}

export function partsBack(recovery) {
  return Math.min(100, Math.max(0, Math.floor(recovery + 0.5)));
}

function fill(sentence, values) {
  return sentence.replace(/\{(\w+)\}/g, (whole, name) => String(values[name] ?? whole));
}

export function comparison(ratio, say, fractions) {
  if (Math.abs(ratio - 1) < 0.05) return say.the_same;
  if (ratio >= 1.5) return fill(say.times, { n: Math.floor(ratio + 0.5) });
  if (ratio > 1) return fill(say.more, { n: Math.floor(100 * (ratio - 1) + 0.5) });
  if (ratio > 1 / 1.5) return fill(say.less, { n: Math.floor(100 * (1 - ratio) + 0.5) });
  const parts = Math.floor(1 / ratio + 0.5);
  if (parts >= fractions.length) return say.fraction_small;
  return fill(say.fraction, { n: fractions[Math.max(2, parts)] });
}

export function letterOf(jnr, limits) {
  return limits.filter((one) => jnr <= one.limit).at(-1) ?? null;
}

function whatMoved(push, say) {
  const back = partsBack(push.percent_recovery);
  if (back === 0) return [say.back_none, say.left_all];
  if (back === 100) return [say.back_all, say.left_none];
  return [fill(say.back_some, { back }), fill(say.left_some, { left: 100 - back })];
}

/** Push a binder as a reader asks for it: numbers, and the sentences told beside the picture. */
export function tryBinder(data, name, stress, temperature) {
  const { model, sentences: say } = data;
  const binder = data.binders.find((one) => one.name === name);
  const push = pushOnce(binder, model, stress, temperature);
  const reference = pushOnce(binder, model, model.reference_stress_kpa, model.grade_temperature_c);
  const deciding = pushOnce(binder, model, model.reference_stress_kpa, temperature);
  const letter = letterOf(deciding.jnr, data.limits);
  const values = {
    binder: binder.title[0].toUpperCase() + binder.title.slice(1),
    temperature,
    stress,
    reference_stress: model.reference_stress_kpa,
    grade_temperature: model.grade_temperature_c,
    letter: letter ? letter.service_class : "",
  };
  const ratio = push.recovered_strain / reference.recovered_strain;
  const sentences = [
    fill(say.state, values),
    ...whatMoved(push, say),
    fill(say.compared, {
      comparison: comparison(ratio, say, data.fractions),
      than: fill(say.than_reference, values),
    }),
    fill(letter ? say.letter_now : say.letter_now_none, values),
  ];
  return { push, reference, deciding, letter, sentences };
}

function path(points) {
  return points.map(([x, y], n) => `${n ? "L" : "M"}${x.toFixed(2)} ${y.toFixed(2)}`).join("");
}

export function grouped(value) {
  const [whole, part = ""] = value.toFixed(6).split(".");
  const kept = part.replace(/0+$/, "");
  return whole.replace(/\B(?=(\d{3})+$)/g, GROUP) + (kept ? `.${kept}` : "");
}

function ticksOf(most) {
  const rough = (100 * most) / 3;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((digit) => power * digit).find((one) => one >= rough);
  const count = Math.floor((100 * most) / step + 1e-9);
  return Array.from({ length: count + 1 }, (_, n) => [(step * n) / 100, grouped(step * n)]);
}

/** The lines of one push, and of the one it is compared with, in the units of the layout. */
export function pushGeometry(push, ghost, place) {
  const most = Math.max(push.creep_strain, ghost ? ghost.creep_strain : 0);
  const top = most * place.room;
  const length = push.creep_time_s + push.recovery_time_s;
  const x = (time) => place.left + ((place.right - place.left) * time) / length;
  const y = (strain) => place.bottom - ((place.bottom - place.top) * strain) / top;
  const lineOf = (one) => one.time_s.map((time, n) => [x(time), y(one.strain[n])]);
  const points = lineOf(push);
  const [peakY, leftY, floorY] = [y(push.creep_strain), y(push.recovered_strain), y(0)];
  const letGo = x(push.creep_time_s);
  let back = 0.5 * (peakY + leftY);
  let words = 0.5 * (leftY + floorY);
  const short = 0.5 * Math.max(0, place.apart - (words - back));
  back = Math.max(back - short, place.top);
  words = Math.max(words + short, back + place.apart);
  const over = Math.max(0, words - place.bottom);
  const end = `L${x(length).toFixed(2)} `;
  return {
    curve: path(points),
    ghost: ghost ? path(lineOf(ghost)) : "",
    leftover:
      path(points.map(([across, up]) => [across, Math.max(up, leftY)])) +
      `${end}${floorY.toFixed(2)}L${x(0).toFixed(2)} ${floorY.toFixed(2)}Z`,
    springing:
      path(points.filter(([across]) => across >= letGo)) +
      `${end}${peakY.toFixed(2)}L${letGo.toFixed(2)} ${peakY.toFixed(2)}Z`,
    ticks: ticksOf(most).map(([at, text]) => [y(at), text]),
    peak_y: peakY,
    left_y: leftY,
    floor_y: floorY,
    back_words_y: back - over,
    left_words_y: words - over,
    let_go_x: letGo,
  };
}

export function ladderX(jnr, limits, place) {
  const share = Math.min(1, jnr / (limits[0].limit * place.ladder_room));
  return place.ladder_left + (place.ladder_right - place.ladder_left) * share;
}

/** Three significant figures, halves to even as Python shows them where they can be told apart. */
export function threeFigures(value) {
  const text = value.toPrecision(3);
  return text.includes("e") ? String(Number(text)) : text;
}
