// What a page that answers does: reads what is typed, asks the formulas, says what to do. Texts are put in as text, never as markup.
(function () {
  "use strict";
  const page = document.querySelector.bind(document), spoken = sizes.speaker(document.currentScript);

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
      say(box(`${stem}-thrown_g`), spoken("What the {part} weighed as thrown is needed too.", { part: piece.name }));
      return { faulty: true };
    }
    const { Readings, Weighing, Calipered } = formulas.records;
    const weight = now_g === null ? null : new Weighing(thrown_g ?? piece.thrown_g, now_g), size = now === null ? null : new Calipered(thrown ?? piece.thrown_mm, now);
    if (!weight && !size) return { faulty: false, readings: null };
    return { faulty: false, readings: formulas.with_doubt(new Readings(weight, size), tools.turn_step_mm / 2, tools.scale_g / 2, piece.calipers_mm, piece.weight_share, thrown === null, thrown_g === null) };
  }

  const IMPOSSIBLE = {
    SizeAboveThrown: spoken("That is more than it was as thrown. Read it again."), SizeBelowDry: spoken("That is less than it is bone dry. Read it again."),
    WeightAboveThrown: spoken("That is more than it weighed as thrown. Weigh it again."), WeightBelowDry: spoken("That is less than it weighs bone dry. Was something trimmed off, or was it thrown lighter?"),
  };

  function answerFit(section, fit, asked, write) {
    const output = section.querySelector("output"), place = section.dataset.fit, { tools } = asked;
    const pieces = [fit.inside, fit.outside], read = SIDES.map((side, at) => readingsOf(`fit-${place}-${side}`, pieces[at], tools));
    if (read.some((one) => one.faulty)) return tell(output, "", [spoken("Something typed below can't be read.")]);
    const [inside, outside] = pieces;
    if (!read[0].readings && !read[1].readings) {
      return tell(output, spoken("What do the calipers read?"), [spoken("Type what the {inside} or the {outside} reads now; both is surer.", { inside: inside.size_name, outside: outside.size_name })], { hint: true });
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
      return tell(output, "", [spoken("A reading can't be.")]);
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
    const left = { size: `${small(fired_mm)}${alone === null ? ` ± ${small(plus_minus_mm)}` : ""}`, least: fit.least_mm === null ? "" : small(fit.least_mm), most: fit.most_mm === null ? "" : small(fit.most_mm) };
    const fired = left.least && left.most ? spoken("Fired that leaves {size}; least {least}, most {most}.", left) : left.least ? spoken("Fired that leaves {size}; least {least}.", left)
      : left.most ? spoken("Fired that leaves {size}; most {most}.", left) : spoken("Fired that leaves {size}.", left);
    const together = (sides) => sides.length > 1 ? spoken("{one} and the {other}", { one: named(sides[0]).name, other: named(sides[1]).name }) : named(sides[0]).name;
    const soft = SIDES.filter((_, at) => formulas.is_soft((at ? fit.fit.outside : fit.fit.inside).body, now[at]));
    const stopped = SIDES.filter((_, at) => formulas.has_stopped((at ? fit.fit.outside : fit.fit.inside).body, now[at]));
    const care = stopped.length ? spoken("The {parts} has done shrinking. Trimming dry clay raises silica dust, which harms the lungs: damp it, and work as your local rules for dust say.", { parts: together(stopped) }) : "";
    const granted = alone === null ? "" : spoken("Where the {other} is as far on in drying as the {read}: read both to be sure.", { other: pieces[1 - alone].name, read: pieces[alone].name });
    const told = doubts(now, pieces, write);
    const said = { quiet: alone === null ? [alike(now, pieces, write), ...told] : [granted, told[alone]], care };
    const until = () => {
      if (!verdict.part) return "";
      const at = SIDES.indexOf(verdict.part), { weight, size } = pair[at], share = verdict.until_share_of_thrown;
      if (verdict.until_g !== null && weight) return spoken("until it weighs about {mass}, {share} of what it was thrown at", { mass: write.masses(verdict.until_g, { fine: true }), share: write.share(share) });
      if (size && verdict.until_shrunk_share !== null) return spoken("until it reads about {size}", { size: write.lengths(size.thrown_mm * (1 - verdict.until_shrunk_share)) });
      return spoken("until it is leather-hard");
    };
    const turn = turn_to ? spoken("Trim the {place} to {size}", { place: outside.size_name, size: write.lengths(turn_to.size_mm, { small: turn_to.fine }) }) : "";
    const size = pair[0].size, opening_mm = size && alone !== 1 ? size.now_mm : fit.fit.inside.wet_mm * (1 - found.inside.shrunk_share);
    const play = turn_to ? spoken("That is {size} of play in the {part} now.", { size: small(opening_mm - turn_to.size_mm), part: inside.name }) : "";
    if (["wait", "damp"].includes(verdict.action)) {
      const part = named(verdict.part).name, doing = verdict.action === "wait" ? spoken("let the {part} dry first", { part }) : spoken("damp the {part} first", { part });
      if (soft.length && !turn_to && verdict.action === "wait") {
        const parts = together(soft), large = soft.length > 1 ? spoken("Wait: the {parts} are still soft", { parts }) : spoken("Wait: the {part} is still soft", { part: parts });
        return tell(output, large, [spoken("{doing}, {until}. Then read both again.", { doing: capital(doing), until: until() })], { ...said, wait: true });
      }
      if (found.verdict.action === "trim") return tell(output, capital(doing), [spoken("{until}. Then read it again.", { until: capital(until()) })], { ...said, wait: true });
      const how = { doing: turn ? doing : capital(doing), until: until(), other: other(verdict.part).name, size: small(found.now_mm) };
      const then = turn ? spoken("Or {doing}, {until}, the {other} kept as it is, wrapped; then leave {size} of play.", how) : spoken("{doing}, {until}, the {other} kept as it is, wrapped; then leave {size} of play.", how);
      return turn ? tell(output, turn, [fired, then], said) : tell(output, capital(doing), [then, fired], { ...said, wait: true });
    }
    if (turn) return tell(output, turn, [play, fired], said);
    if (verdict.action === "leave") return tell(output, spoken("Leave it as it is"), [fired], said);
    return tell(output, spoken("Start the {part} again", { part: outside.name }), [`${spoken("It is too small for this {part}; neither trimming nor drying mends that.", { part: inside.name })} ${fired}`], { ...said, wait: true });
  }

  // Which of the two is wetter, by how much of its length it still has to shrink more.
  function alike(now, pieces, write) {
    const apart = now[0].shrunk_share - now[1].shrunk_share;
    if (Math.abs(apart) < 0.0005) return spoken("Both are equally far on.");
    const wetter = apart > 0 ? 1 : 0;
    return spoken("The {part} is the wetter one, by {share} of its length still to shrink.", { part: pieces[wetter].name, share: write.share(Math.abs(apart)) });
  }

  const doubts = (now, pieces, write) => now.map((one, at) => spoken("{part}: shrunk {share}, {left} to come.", { part: capital(pieces[at].name), share: `${write.share(one.shrunk_share)} ± ${write.share(one.shrunk_plus_minus)}`, left: write.share(one.to_come_share) }));

  // ---- next time ----

  const called = (one, asked) => `${asked.balls.length > 1 ? `${one.part}, ` : ""}${one.name}`;
  const TOOLS = {
    "pointer, up": spoken("pointer, up"), "pointer, out": spoken("pointer, out"), "calipers, inside": spoken("calipers, inside"), "calipers, outside": spoken("calipers, outside"),
    "turned, inside": spoken("turned, inside"), "turned, outside": spoken("turned, outside"), needle: spoken("needle"),
  };
  const withTool = (one, asked) => capital(`${called(one, asked)}, ${TOOLS[one.tool] || one.tool}`);
  const ballOf = (one, asked) => asked.balls.length > 1 ? spoken("{part}, ball", { part: capital(one.part) }) : spoken("Ball");
  // What a tool is set to, in words: the place is a station or a caliper size.
  function setTo(one, asked, said) {
    const put = { part: one.part, place: one.name, size: said }, alone = asked.balls.length === 1;
    if (one.tool.startsWith("turned")) return alone ? spoken("Turn the {place} to {size}", put) : spoken("Turn the {part}'s {place} to {size}", put);
    if (!one.tool.startsWith("pointer")) return alone ? spoken("Set the {place} calipers to {size}", put) : spoken("Set the {part}'s {place} calipers to {size}", put);
    if (one.upward) return alone ? spoken("Set the pointer at the {place} to {size} up", put) : spoken("Set the {part}'s pointer at the {place} to {size} up", put);
    return alone ? spoken("Set the pointer at the {place} to {size} out", put) : spoken("Set the {part}'s pointer at the {place} to {size} out", put);
  }
  const setting = (one, mm, write) => write.lengths(mm, { way: one.rounds_up ? "up" : "near" });

  function answerNext(section, asked, write) {
    const output = section.querySelector("output"), one = asked.sizes[Number(page('select[name="next-size"]').value)];
    if (!one) return tell(output, "", [spoken("Nothing of this form is both set and measured.")]);
    const measured = typed("next-fired", asked.tools), aim = { size: `${write.lengths(one.fired_mm, { small: true })}${one.plus_minus_mm ? ` ± ${write.length(one.plus_minus_mm, { small: true })}` : ""}`, set: setting(one, one.set_mm, write) };
    const wanted = one.tool.startsWith("turned") ? spoken("Wanted: {size} fired; it was turned to {set}.", aim) : one.tool.startsWith("calipers") ? spoken("Wanted: {size} fired; the calipers were set to {set}.", aim) : spoken("Wanted: {size} fired; the pointer was set to {set}.", aim);
    if (measured === null) return tell(output, spoken("What did it come to?"), [wanted], { hint: true });
    if (Number.isNaN(measured)) return tell(output, "", [spoken("What is typed below can't be read.")]);
    if (measured < one.fired_mm / 2 || measured > one.fired_mm * 2) { say(box("next-fired"), spoken("Is that this size? It is far from what was wanted.")); return tell(output, "", [wanted]); }
    const next = formulas.next_time(one.set_mm, one.base_mm, one.wet_mm, one.fired_mm, measured, one.plus_minus_mm);
    const shrunk = spoken("It shrank by {share} where {reckoned} was reckoned with, if it was set as the card says.", { share: write.share(next.shrunk_share), reckoned: write.share(1 - one.fired_mm / one.wet_mm) });
    const bar = spoken("One pot tells little: where it goes on like this, put a test bar into the clay's spec, and every number follows.");
    if (next.within) return tell(output, spoken("Set it as before"), [wanted, spoken("It is off by {size}, which is within what pots differ by.", { size: write.length(Math.abs(measured - one.fired_mm), { small: true }) })], { quiet: [shrunk] });
    return tell(output, setTo(one, asked, setting(one, next.set_mm, write)), [wanted], { quiet: [shrunk, bar] });
  }

  // ---- so much clay ----

  function answerClay(section, asked, write) {
    const output = section.querySelector("output"), part = page('select[name="clay-part"]'), own = asked.balls[part ? Number(part.value) : 0];
    const ball = typed("clay-ball", asked.tools);
    if (ball === null) return tell(output, spoken("What does the ball weigh?"), [spoken("The {part} as it stands takes {mass}.", { part: own.part, mass: write.masses(own.ball_g, { way: "up" }) })], { hint: true });
    if (Number.isNaN(ball)) return tell(output, "", [spoken("What is typed below can't be read.")]);
    let factor;
    try { factor = formulas.times_as_large(ball, own.ball_g); } catch (fault) {
      if (fault.name !== "ValueError") throw fault;
      say(box("clay-ball"), spoken("That is so far from this form that it is another one."));
      return tell(output, "", [spoken("A form is scaled from half to twice its size here.")]);
    }
    const growth = asked.growth, lines = [];
    if (growth) {
      const put = { high: write.length(growth.height_mm * factor), across: write.length(growth.across_mm * factor), mass: write.mass(formulas.scaled_amount(growth.body_g, growth.glaze_g, factor)) };
      lines.push(growth.held_ml === null ? spoken("Fired it is {high} high, {across} across, and weighs {mass}.", put)
        : spoken("Fired it is {high} high, {across} across, holds {volume}, and weighs {mass}.", { ...put, volume: write.volume(formulas.scaled_amount(growth.held_ml, -growth.film_ml, factor)) }));
    }
    const rows = [...asked.balls.map((one) => [ballOf(one, asked), write.mass(one.ball_g, { way: "up" }), write.mass(one.ball_g * factor ** 3, { way: "up" })]),
      ...asked.sizes.map((one) => [withTool(one, asked), write.length(one.set_mm), write.length(formulas.scaled_set_mm(one.set_mm, one.base_mm, factor), { way: one.rounds_up ? "up" : "near" })])];
    const quiet = [spoken("Everything in proportion, the wall too, the glaze as thick as before."), asked.fits.length ? spoken("A lid's clearance would scale along: set its flange by the jar that you have.") : "", spoken("To keep it, make it a form of its own: wareboard resize.")];
    tell(output, spoken("{count} times as large", { count: write.decimal(factor, 2) }), lines, { quiet, rows, heads: ["", spoken("own"), spoken("now")] });
  }

  // ---- another clay ----

  function answerOther(section, asked, write) {
    const output = section.querySelector("output"), clay = studioClays.map(made).find((one) => one.slug === page('select[name="other-clay"]').value);
    if (!clay) return tell(output, spoken("Which clay?"), [spoken("It is made of {clay}.", { clay: (studioClays.find((one) => one.slug === asked.clay) || { title: asked.clay }).title })], { hint: true });
    const rows = [...asked.balls.map((one) => [ballOf(one, asked), write.mass(one.ball_g, { way: "up" }), write.mass(formulas.in_clay_g(one.ball_g, asked.body, clay.body), { way: "up" })]),
      ...asked.sizes.map((one) => [withTool(one, asked), write.length(one.set_mm), write.length(formulas.in_clay_mm(one.set_mm, one.base_mm, one.stage, one.upward, asked.body, clay.body), { way: one.rounds_up ? "up" : "near" })])];
    const lines = asked.sizes.filter((one) => one.fired_mm && one.stage === "wet").slice(0, 3).map((one) => {
      const comes = formulas.fired_in_clay_mm(one.wet_mm, one.upward, clay.body);
      const put = { place: called(one, asked), size: write.length(comes, { small: true }), wanted: write.length(one.fired_mm, { small: true }) };
      return one.upward ? spoken("Set as before, the {place} stands {size} high fired instead of {wanted}.", put) : spoken("Set as before, the {place} comes out {size} fired instead of {wanted}.", put);
    });
    for (const fit of asked.fits) {
      const own = (side) => JSON.stringify(side.body.shrinkage) === JSON.stringify(asked.body.shrinkage) ? clay.body : side.body;
      const moved = formulas.fit_in_clays(fit.fit, own(fit.fit.inside), own(fit.fit.outside));
      const put = { fit: fit.name, size: write.length(formulas.clearance_mm(moved, "fired"), { small: true }), wanted: write.length(formulas.clearance_mm(fit.fit, "fired"), { small: true }) };
      lines.push(spoken("The {fit}'s clearance, trimmed to the card's sizes, would be {size} fired instead of {wanted}.", put));
    }
    const shrinkage = (body) => write.share(body.shrinkage.at(-1));
    const same = shrinkage(clay.body) === shrinkage(asked.body);
    tell(output, same ? spoken("It shrinks alike") : spoken("It shrinks {share} instead of {own}", { share: shrinkage(clay.body), own: shrinkage(asked.body) }), lines, {
      quiet: [spoken("To come out the same size fired, set what stands below; every size is kept as it is fired, the wall's too.")], rows, heads: ["", spoken("own clay"), clay.title],
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
    choice.append(new Option(others.length ? spoken("choose") : spoken("there is no other clay"), ""), ...others.map((one) => new Option(one.title, one.slug)));
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
