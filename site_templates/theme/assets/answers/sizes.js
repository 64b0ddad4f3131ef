// Sizes as they are typed and as they are written: the simple cases of the spec language, rounded to the studio's tools.
// How units are spelled comes with the formulas. `read` throws words that can be shown.
const sizes = (() => {
  "use strict";
  // A message in the page's language, whose words stand at the script that asks; in English as it stands there.
  const speaker = (script) => {
    const words = JSON.parse(script.dataset.words || "{}");
    return (message, put = {}) => (words[message] || message).replace(/\{(\w+)\}/g, (whole, name) => put[name] ?? whole);
  };
  const spoken = speaker(document.currentScript);
  const INCH_MM = 25.4, OUNCE_G = 453.59237 / 16, DUST = 1e-6;
  const VULGAR = { "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3" };
  const PART = /^(?:(\d+)[ -](\d+)\/(\d+)|(\d+)\/(\d+)|(\d+(?:\.\d+)?|\.\d+))\s*([^\d.]*)/;

  class Unread extends Error {}

  // A text to mm or g. A keypad may have no point: one comma with other than three digits behind it is taken for one.
  function read(text, kind, unit) {
    let left = text.replace(/[”“″]/g, '"').replace(/[’′]/g, "'").replace(/''/g, '"').replace(/[⁄∕]/g, "/").replace(/[½¼¾⅛⅜⅝⅞⅓⅔]/g, (sign) => ` ${VULGAR[sign]}`)
      .replace(/^(\D*\d*),(\d{1,2}|\d{4,})(?!\d)/, "$1.$2").replace(/\s+/g, " ").trim().toLowerCase();
    const example = kind === "mass" ? spoken("Write it like 486 g or 1 lb 3 oz.") : spoken("Write it like 84.0 mm or 3 5/16 in.");
    let whole = 0, last = null;
    while (left) {
      const found = PART.exec(left);
      if (!found) throw new Unread(example);
      const [all, full, over, under, top, bottom, decimal, words] = found;
      if ((under || bottom) && (!Number(under || bottom) || Number(over || 0) >= Number(under || Infinity))) throw new Unread(example);
      const number = decimal ? Number(decimal) : Number(full || 0) + Number(over || top) / Number(under || bottom);
      const spelled = words.replace(/,$/, "").trim() || (last === null && all.length === left.length ? unit : "");
      const known = Object.hasOwn(unitsSpelled, spelled) ? unitsSpelled[spelled] : null;
      if (!spelled) throw new Unread(spoken("A number has no unit."));
      if (!known || known[0] !== kind) throw new Unread(kind === "mass" ? spoken("Write it in g, kg, oz or lb.") : spoken("Write it in mm, cm or in."));
      if (last && (last[1] <= known[1] || last[2] !== known[2])) throw new Unread(spoken("Write the larger unit first, all in one system."));
      whole += number * known[1];
      last = known;
      left = left.slice(all.length).trim();
    }
    if (!(whole > 0)) throw new Unread(spoken("It must be more than 0."));
    return whole;
  }

  const stepsIn = (value, step, way) => way === "up" ? Math.ceil(value / step - DUST) : Math.sign(value) * Math.floor(Math.abs(value / step) + 0.5 + DUST);
  const toStep = (value, step, way = "near") => Number((stepsIn(value, step, way) * step).toFixed(9)) + 0;
  // The step, or the coarsest part of it that does not make nothing of what there is.
  const shows = (value, step, way, parts, least) => step / parts >= least && Math.abs(value) > DUST && !toStep(value, step, way) ? shows(value, Number((step / parts).toFixed(9)), way, parts, least) : step;
  const decimalsOf = (step) => [0, 1, 2, 3, 4, 5].find((count) => Math.abs(Number(step.toFixed(count)) - step) <= 1e-9 * step) ?? 6;

  // Writes for one studio: `tools` are its systems and the steps of its tools.
  function writer(tools) {
    const decimal = (value, count) => toStep(value, 10 ** -count).toFixed(count).replace("-", "−").replace(".", tools.decimal);
    const superscript = (digits) => digits.replace(/\d/g, (digit) => "⁰¹²³⁴⁵⁶⁷⁸⁹"[digit]), subscript = (digits) => digits.replace(/\d/g, (digit) => "₀₁₂₃₄₅₆₇₈₉"[digit]);

    function mixed(value, step) {
      const parts = Math.round(1 / step);
      if (step < 1 && (Math.abs(parts * step - 1) > 1e-9 || parts & (parts - 1))) return decimal(toStep(value, step), decimalsOf(step));
      const under = Math.max(1, parts), count = Math.round(Math.abs(toStep(value, step)) * under);
      let top = count % under, below = under;
      while (top && top % 2 === 0) { top /= 2; below /= 2; }
      const full = Math.floor(count / under), minus = value < 0 && count ? "−" : "";
      const sign = Object.keys(VULGAR).find((one) => VULGAR[one] === `${top}/${below}`);
      return minus + (top ? `${full || ""}${sign || `${superscript(String(top))}⁄${subscript(String(below))}`}` : String(full));
    }

    function length(mm, system, { small = false, way = "near" } = {}) {
      if (system === "imperial") return `${mixed(toStep(mm / INCH_MM, small ? 1 / 64 : tools.inch_in, way), small ? 1 / 64 : tools.inch_in)} in`;
      const step = small ? 0.1 : tools.ruler_mm;
      return `${decimal(toStep(mm, step, way), small ? 1 : decimalsOf(step))} mm`;
    }

    function ounceStep(g, scale_g) {
      const sixteenths = scale_g / OUNCE_G * 16, whole = Math.round(sixteenths), ounces = Math.abs(g) / OUNCE_G;
      if (whole && Math.abs(sixteenths - whole) <= 1e-6 * Math.max(sixteenths, whole)) return whole / 16;
      return ounces < 4 ? 1 / 8 : ounces < 160 ? 1 / 4 : 1;
    }

    function mass(g, system, { fine = false, way = "near" } = {}) {
      if (system === "imperial") {
        const step = shows(g / OUNCE_G, ounceStep(g, fine ? Math.min(1, tools.scale_g) : tools.scale_g), way, 2, 1 / 64), ounces = toStep(g / OUNCE_G, step, way);
        const pounds = Math.floor(Math.abs(ounces) / 16), rest = Math.abs(ounces) - 16 * pounds, minus = ounces < 0 ? "−" : "";
        if (!pounds) return `${minus}${mixed(rest, step)} oz`;
        return rest ? `${minus}${pounds} lb ${mixed(rest, step)} oz` : `${minus}${pounds} lb`;
      }
      const step = shows(g, fine ? Math.min(1, tools.metric_scale_g) : tools.metric_scale_g, way, 10, 0.05), rounded = toStep(g, step, way);
      if (Math.abs(rounded) < 5000) return `${decimal(rounded, decimalsOf(step))} g`;
      const coarse = Math.max(step, 10);
      return `${decimal(toStep(g, coarse, way) / 1000, Math.max(2, decimalsOf(coarse / 1000)))} kg`;
    }

    function volume(ml, system) {
      if (system === "imperial" && tools.fluid_ounce) {
        const ounce = tools.fluid_ounce === "US" ? 231 * INCH_MM ** 3 / 1000 / 128 : 4546.09 / 160;
        const step = shows(ml / ounce, 1 / 4, "near", 2, 1 / 32);
        return `${mixed(toStep(ml / ounce, step), step)} fl oz ${tools.fluid_ounce}`;
      }
      const step = Math.abs(ml) < 100 ? shows(ml, 1, "near", 10, 0.1) : 5, rounded = toStep(ml, step);
      return Math.abs(rounded) < 5000 ? `${decimal(rounded, decimalsOf(step))} ml` : `${decimal(toStep(ml, 50) / 1000, 2)} l`;
    }

    // In the studio's first system, and in all of its systems, the others in brackets.
    const systems = tools.systems, first = (how) => (value, asked) => how(value, systems[0], asked);
    const all = (how) => (value, asked) => { const said = [...new Set(systems.map((system) => how(value, system, asked)))]; return said[0] + (said[1] ? ` (${said[1]})` : ""); };
    const share = (part) => `${decimal(part * 100, 1)} %`;
    return { length: first(length), lengths: all(length), mass: first(mass), masses: all(mass), volume: first(volume), share, decimal, in: { length, mass, volume } };
  }

  return { read, writer, Unread, speaker };
})();
