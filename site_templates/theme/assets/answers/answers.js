// What a page that answers does: reads what is typed, asks the formulas, says what to do. Texts are put in as text, never as markup.
(function () {
  "use strict";
  const page = document.querySelector.bind(document);

  // Records of the formulas, made again from what the page was given.
  function made(said) {
    if (said === "inf" || said === "-inf") return said === "inf" ? Infinity : -Infinity;
    if (Array.isArray(said)) return said.map(made);
    if (said === null || typeof said !== "object") return said;
    const [name] = Object.keys(said), record = formulas.records[name];
    if (record && Array.isArray(said[name])) return new record(...said[name].map(made));
    return Object.fromEntries(Object.entries(said).map(([key, value]) => [key, made(value)]));
  }

  const capital = (words) => words.charAt(0).toUpperCase() + words.slice(1);
  const element = (name, text, className) => { const one = document.createElement(name); if (text) one.textContent = text; if (className) one.className = className; return one; };

  // ---- what is typed ----

  const box = (name) => page(`input[name="${name}"]`);

  // The value of a box in mm or g; null where nothing is typed, NaN where it cannot be read, which is said below it.
  function typed(name, tools) {
    const input = box(name), wrong = input.parentElement.querySelector("small");
    input.removeAttribute("aria-invalid");
    wrong.textContent = "";
    if (!input.value.trim()) return null;
    try {
      const mass = input.dataset.kind === "mass";
      return sizes.read(input.value, input.dataset.kind, mass ? (tools.systems[0] === "imperial" ? "oz" : "g") : tools.unit);
    } catch (fault) {
      if (!(fault instanceof sizes.Unread)) throw fault;
      say(input, fault.message);
      return NaN;
    }
  }

  function say(input, words) {
    input.setAttribute("aria-invalid", "true");
    input.parentElement.querySelector("small").textContent = words;
  }

  // The large answer first, then lines; rows as a table below them.
  function tell(output, large, lines = [], { wait = false, hint = false, quiet = [], care = "", rows = null, heads = [] } = {}) {
    output.replaceChildren();
    if (large) output.append(element("strong", large.replace(/ (?=(?:mm|in|g|kg|oz|lb)\b)/g, "\u00a0"), wait ? "wait" : hint ? "hint" : ""));
    output.append(...lines.filter(Boolean).map((words) => element("p", words)), ...quiet.filter(Boolean).map((words) => element("p", words, "quiet")));
    if (care) output.append(element("p", care, "care"));
    if (!rows || !rows.length) return;
    const table = element("table"), head = element("tr"), top = element("thead"), body = element("tbody");
    head.append(...heads.map((words, at) => { const cell = element("th", words, at ? "n" : ""); cell.scope = "col"; return cell; }));
    body.append(...rows.map(([name, ...numbers]) => {
      const row = element("tr"), first = element("th", name);
      first.scope = "row";
      row.append(first, ...numbers.map((words, at) => element("td", words, at + 1 === numbers.length ? "n" : "was")));
      return row;
    }));
    top.append(head);
    table.append(top, body);
    output.append(table);
  }

  // ---- two pieces ----

  const SIDES = ["inside", "outside"];

  // What was read of one side; `faulty` where something of it cannot be read.
  function readingsOf(stem, piece, tools) {
    const [now, now_g, thrown_g, thrown] = ["now", "now_g", "thrown_g", "thrown"].map((name) => typed(`${stem}-${name}`, tools));
    if ([now, now_g, thrown_g, thrown].some(Number.isNaN)) return { faulty: true };
    if (now_g !== null && thrown_g === null && piece.thrown_g === null) {
      say(box(`${stem}-thrown_g`), `What the ${piece.name} weighed as thrown is needed too.`);
      return { faulty: true };
    }
    const { Readings, Weighing, Calipered } = formulas.records;
    const weight = now_g === null ? null : new Weighing(thrown_g ?? piece.thrown_g, now_g), size = now === null ? null : new Calipered(thrown ?? piece.thrown_mm, now);
    if (!weight && !size) return { faulty: false, readings: null };
    return { faulty: false, readings: formulas.with_doubt(new Readings(weight, size), tools.turn_step_mm / 2, tools.scale_g / 2, piece.calipers_mm, piece.weight_share, thrown === null, thrown_g === null) };
  }

  const IMPOSSIBLE = {
    SizeAboveThrown: "That is more than it was as thrown. Read it again.", SizeBelowDry: "That is less than it is bone dry. Read it again.",
    WeightAboveThrown: "That is more than it weighed as thrown. Weigh it again.", WeightBelowDry: "That is less than it weighs bone dry. Was something trimmed off, or was it thrown lighter?",
  };

  function answerFit(section, fit, asked, write) {
    const output = section.querySelector("output"), place = section.dataset.fit, { tools } = asked;
    const pieces = [fit.inside, fit.outside], read = SIDES.map((side, at) => readingsOf(`fit-${place}-${side}`, pieces[at], tools));
    if (read.some((one) => one.faulty)) return tell(output, "", ["Something typed below can't be read."]);
    const [inside, outside] = pieces;
    if (!read[0].readings && !read[1].readings) {
      return tell(output, "What do the calipers read?", [`Type what the ${inside.size_name} or the ${outside.size_name} reads now; both is surer.`], { hint: true });
    }
    let pair = read.map((one) => one.readings), alone = null, found;
    try {
      for (const at of [0, 1]) if (!pair[at]) {
        alone = 1 - at;
        pair[at] = formulas.as_far_on(fit.fit, SIDES[1 - at], pair[1 - at], pieces[at].thrown_mm);
      }
      found = formulas.try_pair(fit.fit, pair[0], pair[1], tools.turn_step_mm, tools.scale_g);
    } catch (fault) {
      if (!(fault instanceof Error) || !IMPOSSIBLE[fault.name]) throw fault;
      const side = fault.told[0] || "inside", by = fault.name.startsWith("Size") ? "now" : "now_g";
      say(box(`fit-${place}-${side}-${by}`), IMPOSSIBLE[fault.name]);
      if (by === "now_g") box(`fit-${place}-${side}-${by}`).closest("details").open = true;
      return tell(output, "", ["A reading can't be."]);
    }
    tellFit(output, fit, pair, found, alone, write);
  }

  function tellFit(output, fit, pair, tried, alone, write) {
    const { found, verdict, turn_to } = tried, pieces = [fit.inside, fit.outside], [inside, outside] = pieces, now = [found.inside, found.outside];
    const small = (mm) => write.length(mm, { small: true });
    const named = (side) => pieces[SIDES.indexOf(side)], other = (side) => pieces[1 - SIDES.indexOf(side)];
    const fired_mm = turn_to ? turn_to.fired_mm : verdict.fired_mm ?? found.fired_mm;
    const waited = !turn_to && ["wait", "damp"].includes(verdict.action);
    const plus_minus_mm = waited ? found.waited_plus_minus_mm : found.fired_plus_minus_mm;
    const limits = [fit.least_mm === null ? "" : `least ${small(fit.least_mm)}`, fit.most_mm === null ? "" : `most ${small(fit.most_mm)}`].filter(Boolean).join(", ");
    const fired = `Fired that leaves ${small(fired_mm)}${alone === null ? ` ± ${small(plus_minus_mm)}` : ""}${limits ? `; ${limits}` : ""}.`;
    const soft = SIDES.filter((_, at) => formulas.is_soft((at ? fit.fit.outside : fit.fit.inside).body, now[at]));
    const stopped = SIDES.filter((_, at) => formulas.has_stopped((at ? fit.fit.outside : fit.fit.inside).body, now[at]));
    const care = stopped.length ? `The ${stopped.map((side) => named(side).name).join(" and the ")} has done shrinking. Trimming dry clay raises silica dust, which harms the lungs: damp it, and work as your local rules for dust say.` : "";
    const granted = alone === null ? "" : `Where the ${pieces[1 - alone].name} is as far on in drying as the ${pieces[alone].name}: read both to be sure.`;
    const told = doubts(now, pieces, write);
    const said = { quiet: alone === null ? [alike(now, pieces, write), ...told] : [granted, told[alone]], care };
    const until = () => {
      if (!verdict.part) return "";
      const at = SIDES.indexOf(verdict.part), { weight, size } = pair[at], share = verdict.until_share_of_thrown;
      if (verdict.until_g !== null && weight) return `until it weighs about ${write.masses(verdict.until_g, { fine: true })}, ${write.share(share)} of what it was thrown at`;
      if (size && verdict.until_shrunk_share !== null) return `until it reads about ${write.lengths(size.thrown_mm * (1 - verdict.until_shrunk_share))}`;
      return "until it is leather-hard";
    };
    const turn = turn_to ? `Trim the ${outside.size_name} to ${write.lengths(turn_to.size_mm, { small: turn_to.fine })}` : "";
    const size = pair[0].size, opening_mm = size && alone !== 1 ? size.now_mm : fit.fit.inside.wet_mm * (1 - found.inside.shrunk_share);
    const play = turn_to ? `That is ${small(opening_mm - turn_to.size_mm)} of play in the ${inside.name} now.` : "";
    if (["wait", "damp"].includes(verdict.action)) {
      const name = named(verdict.part).name, doing = verdict.action === "wait" ? `let the ${name} dry first` : `damp the ${name} first`;
      if (soft.length && !turn_to && verdict.action === "wait") {
        const names = soft.map((side) => named(side).name).join(" and the ");
        return tell(output, `Wait: the ${names} ${soft.length > 1 ? "are" : "is"} still soft`, [`${capital(doing)}, ${until()}. Then read both again.`], { ...said, wait: true });
      }
      if (found.verdict.action === "trim") return tell(output, capital(doing), [`${capital(until())}. Then read it again.`], { ...said, wait: true });
      const then = `${turn ? "Or " : ""}${turn ? doing : capital(doing)}, ${until()}, the ${other(verdict.part).name} kept as it is, wrapped; then leave ${small(found.now_mm)} of play.`;
      return turn ? tell(output, turn, [fired, then], said) : tell(output, capital(doing), [then, fired], { ...said, wait: true });
    }
    if (turn) return tell(output, turn, [play, fired], said);
    if (verdict.action === "leave") return tell(output, "Leave it as it is", [fired], said);
    return tell(output, `Start the ${outside.name} again`, [`It is too small for this ${inside.name}; neither trimming nor drying mends that. ${fired}`], { ...said, wait: true });
  }

  // Which of the two is wetter, by how much of its length it still has to shrink more.
  function alike(now, pieces, write) {
    const apart = now[0].shrunk_share - now[1].shrunk_share;
    if (Math.abs(apart) < 0.0005) return "Both are equally far on.";
    const wetter = apart > 0 ? 1 : 0;
    return `The ${pieces[wetter].name} is the wetter one, by ${write.share(Math.abs(apart))} of its length still to shrink.`;
  }

  const doubts = (now, pieces, write) => now.map((one, at) => `${capital(pieces[at].name)}: shrunk ${write.share(one.shrunk_share)} ± ${write.share(one.shrunk_plus_minus)}, ${write.share(one.to_come_share)} to come.`);

  // ---- next time ----

  const called = (one, asked) => `${asked.balls.length > 1 ? `${one.part}, ` : ""}${one.name}`;
  // What a tool is set to, in words: the place is a station or a caliper size.
  function setTo(one, asked, said) {
    const of = asked.balls.length > 1 ? `${one.part}'s ` : "";
    if (one.tool.startsWith("turned")) return `Turn the ${of}${one.name} to ${said}`;
    return one.tool.startsWith("pointer") ? `Set the ${of}pointer at the ${one.name} to ${said} ${one.upward ? "up" : "out"}` : `Set the ${of}${one.name} calipers to ${said}`;
  }
  const setting = (one, mm, write) => write.lengths(mm, { way: one.rounds_up ? "up" : "near" });

  function answerNext(section, asked, write) {
    const output = section.querySelector("output"), one = asked.sizes[Number(page('select[name="next-size"]').value)];
    if (!one) return tell(output, "", ["Nothing of this form is both set and measured."]);
    const measured = typed("next-fired", asked.tools), wanted = `Wanted: ${write.lengths(one.fired_mm, { small: true })}${one.plus_minus_mm ? ` ± ${write.length(one.plus_minus_mm, { small: true })}` : ""} fired; ${one.tool.startsWith("turned") ? "it was turned" : `the ${one.tool.split(",")[0]} ${one.tool.startsWith("calipers") ? "were" : "was"} set`} to ${setting(one, one.set_mm, write)}.`;
    if (measured === null) return tell(output, "What did it come to?", [wanted], { hint: true });
    if (Number.isNaN(measured)) return tell(output, "", ["What is typed below can't be read."]);
    if (measured < one.fired_mm / 2 || measured > one.fired_mm * 2) { say(box("next-fired"), "Is that this size? It is far from what was wanted."); return tell(output, "", [wanted]); }
    const next = formulas.next_time(one.set_mm, one.base_mm, one.wet_mm, one.fired_mm, measured, one.plus_minus_mm);
    const shrunk = `It shrank by ${write.share(next.shrunk_share)} where ${write.share(1 - one.fired_mm / one.wet_mm)} was reckoned with, if it was set as the card says.`;
    const bar = "One pot tells little: where it goes on like this, put a test bar into the clay's spec, and every number follows.";
    if (next.within) return tell(output, "Set it as before", [wanted, `It is off by ${write.length(Math.abs(measured - one.fired_mm), { small: true })}, which is within what pots differ by.`], { quiet: [shrunk] });
    return tell(output, setTo(one, asked, setting(one, next.set_mm, write)), [wanted], { quiet: [shrunk, bar] });
  }

  // ---- so much clay ----

  function answerClay(section, asked, write) {
    const output = section.querySelector("output"), part = page('select[name="clay-part"]'), own = asked.balls[part ? Number(part.value) : 0];
    const ball = typed("clay-ball", asked.tools);
    if (ball === null) return tell(output, "What does the ball weigh?", [`The ${own.part} as it stands takes ${write.masses(own.ball_g, { way: "up" })}.`], { hint: true });
    if (Number.isNaN(ball)) return tell(output, "", ["What is typed below can't be read."]);
    let factor;
    try { factor = formulas.times_as_large(ball, own.ball_g); } catch (fault) {
      if (fault.name !== "ValueError") throw fault;
      say(box("clay-ball"), "That is so far from this form that it is another one.");
      return tell(output, "", ["A form is scaled from half to twice its size here."]);
    }
    const growth = asked.growth, lines = [];
    if (growth) {
      const holds = growth.held_ml === null ? "" : `, holds ${write.volume(formulas.scaled_amount(growth.held_ml, -growth.film_ml, factor))}`;
      lines.push(`Fired it is ${write.length(growth.height_mm * factor)} high, ${write.length(growth.across_mm * factor)} across${holds}, and weighs ${write.mass(formulas.scaled_amount(growth.body_g, growth.glaze_g, factor))}.`);
    }
    const rows = [...asked.balls.map((one) => [`${asked.balls.length > 1 ? `${capital(one.part)}, ball` : "Ball"}`, write.mass(one.ball_g, { way: "up" }), write.mass(one.ball_g * factor ** 3, { way: "up" })]),
      ...asked.sizes.map((one) => [capital(`${called(one, asked)}, ${one.tool}`), write.length(one.set_mm), write.length(formulas.scaled_set_mm(one.set_mm, one.base_mm, factor), { way: one.rounds_up ? "up" : "near" })])];
    const quiet = ["Everything in proportion, the wall too, the glaze as thick as before.", asked.fits.length ? "A lid's clearance would scale along: set its flange by the jar that you have." : "", "To keep it, make it a form of its own: wareboard resize."];
    tell(output, `${write.decimal(factor, 2)} times as large`, lines, { quiet, rows, heads: ["", "own", "now"] });
  }

  // ---- another clay ----

  function answerOther(section, asked, write) {
    const output = section.querySelector("output"), clay = studioClays.map(made).find((one) => one.slug === page('select[name="other-clay"]').value);
    if (!clay) return tell(output, "Which clay?", [`It is made of ${(studioClays.find((one) => one.slug === asked.clay) || { title: asked.clay }).title}.`], { hint: true });
    const rows = [...asked.balls.map((one) => [`${asked.balls.length > 1 ? `${capital(one.part)}, ball` : "Ball"}`, write.mass(one.ball_g, { way: "up" }), write.mass(formulas.in_clay_g(one.ball_g, asked.body, clay.body), { way: "up" })]),
      ...asked.sizes.map((one) => [capital(`${called(one, asked)}, ${one.tool}`), write.length(one.set_mm), write.length(formulas.in_clay_mm(one.set_mm, one.base_mm, one.stage, one.upward, asked.body, clay.body), { way: one.rounds_up ? "up" : "near" })])];
    const lines = asked.sizes.filter((one) => one.fired_mm && one.stage === "wet").slice(0, 3).map((one) => {
      const comes = formulas.fired_in_clay_mm(one.wet_mm, one.upward, clay.body);
      return `Set as before, the ${called(one, asked)}${one.upward ? " stands" : " comes out"} ${write.length(comes, { small: true })}${one.upward ? " high" : ""} fired instead of ${write.length(one.fired_mm, { small: true })}.`;
    });
    for (const fit of asked.fits) {
      const own = (side) => JSON.stringify(side.body.shrinkage) === JSON.stringify(asked.body.shrinkage) ? clay.body : side.body;
      const moved = formulas.fit_in_clays(fit.fit, own(fit.fit.inside), own(fit.fit.outside));
      lines.push(`The ${fit.name}'s clearance, trimmed to the card's sizes, would be ${write.length(formulas.clearance_mm(moved, "fired"), { small: true })} fired instead of ${write.length(formulas.clearance_mm(fit.fit, "fired"), { small: true })}.`);
    }
    const shrinkage = (body) => write.share(body.shrinkage.at(-1));
    const same = shrinkage(clay.body) === shrinkage(asked.body);
    tell(output, same ? "It shrinks alike" : `It shrinks ${shrinkage(clay.body)} instead of ${shrinkage(asked.body)}`, lines, {
      quiet: ["To come out the same size fired, set what stands below; every size is kept as it is fired, the wall's too."], rows, heads: ["", "own clay", clay.title],
    });
  }

  // ---- the page ----

  document.addEventListener("DOMContentLoaded", () => {
    const article = page("article.answers");
    if (!article || article.dataset.asked === "{}" || !page("#next")) return;
    const asked = made(JSON.parse(article.dataset.asked)), write = sizes.writer(asked.tools);
    const typing = asked.tools.systems[0] === "imperial" || asked.tools.unit === "in" ? "text" : "decimal";
    for (const input of document.querySelectorAll("input[data-kind]")) {
      input.inputMode = typing;
      input.placeholder = input.dataset.kind === "mass" ? (asked.tools.systems[0] === "imperial" ? "lb, oz" : "g") : asked.tools.unit;
    }
    for (const one of document.querySelectorAll("output, .asked, details.more")) one.hidden = false;
    for (const one of document.querySelectorAll("details.printed")) one.open = false;
    for (const one of document.querySelectorAll("p.printed")) one.hidden = one.closest("#next") !== null;
    const choice = page('select[name="other-clay"]'), others = studioClays.filter((one) => one.slug !== asked.clay);
    choice.append(new Option(others.length ? "choose" : "there is no other clay", ""), ...others.map((one) => new Option(one.title, one.slug)));
    const answered = [
      ...[...document.querySelectorAll("section[data-fit]")].map((section) => [section, () => answerFit(section, asked.fits[Number(section.dataset.fit)], asked, write)]),
      [page("#next"), () => answerNext(page("#next"), asked, write)], [page("#clay"), () => answerClay(page("#clay"), asked, write)], [page("#other"), () => answerOther(page("#other"), asked, write)],
    ];
    for (const [section, answer] of answered) {
      section.addEventListener("input", answer);
      answer();
    }
  });
})();
