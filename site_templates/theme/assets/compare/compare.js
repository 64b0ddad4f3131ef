// Forms beside one another: which they are stands in the address, what is compared of each is a script that is read when it
// is chosen, since a page from a disk may not fetch. Texts are put in as text, never as markup.
const compareForms = (() => {
  "use strict";
  const spoken = sizes.speaker(document.currentScript), MOST = 4, SVG = "http://www.w3.org/2000/svg";
  // Told apart by line, never by colour alone: whole, dashed, dotted, dash and dot; mm on the drawing, so long beside its width.
  const LINES = ["", "4 1.6", "0.1 1.7", "6 1.6 0.1 1.6"];
  const known = new Map();
  let show = () => {};

  const element = (name, text, className) => { const one = document.createElement(name); if (text) one.textContent = text; if (className) one.className = className; return one; };
  const drawn = (name, attributes) => { const one = document.createElementNS(SVG, name); for (const [key, value] of Object.entries(attributes)) one.setAttribute(key, value); return one; };

  function read(slug) {
    if (known.has(slug)) return;
    known.set(slug, null);
    const script = document.createElement("script");
    script.src = `compare/${encodeURIComponent(slug)}.js`;
    script.onerror = () => { known.delete(slug); show(); };
    document.head.append(script);
  }

  // A line of radius and height by turns, closed, as a path on one side of the axis or the other; along the axis nothing is drawn.
  function path(line, side) {
    let said = "", before = line.slice(-2);
    for (let at = 0; at < line.length; at += 2) {
      const now = [line[at], line[at + 1]], along = before[0] < 0.1 && now[0] < 0.1;
      if (at === 0 && !along) said += `M${side * before[0]} ${-before[1]}`;
      said += `${along ? "M" : "L"}${side * now[0]} ${-now[1]}`;
      before = now;
    }
    return said;
  }

  function picture(forms) {
    const every = forms.flatMap((form) => form.drawn), radii = every.flatMap((line) => line.filter((_, at) => at % 2 === 0)), heights = every.flatMap((line) => line.filter((_, at) => at % 2));
    const wide = Math.max(...radii) + 6, high = Math.max(...heights), low = Math.min(0, ...heights), thick = Math.max(wide * 2, high) / 260;
    const svg = drawn("svg", { viewBox: `${-wide} ${-high - 6} ${2 * wide} ${high - low + 12}`, class: "drawing", role: "img", "aria-label": spoken("Sections on one axis: {forms}", { forms: forms.map((form) => form.title).join(", ") }) });
    const at = (own) => ({ fill: "none", stroke: "currentColor", "stroke-linejoin": "round", "stroke-linecap": "round", ...own });
    forms.forEach((form, place) => {
      for (const line of form.drawn) for (const side of [1, -1]) {
        const lines = LINES[place] && LINES[place].split(" ").map((length) => length * thick * 1.4).join(" ");
        svg.append(drawn("path", { d: path(line, side), ...at({ "stroke-width": thick * (place === 2 ? 1.7 : 1), ...(lines ? { "stroke-dasharray": lines } : {}), ...(place === 0 ? { class: "first" } : {}) }) }));
      }
    });
    svg.append(drawn("path", { d: `M0 ${-high - 5}V${-low + 5}`, ...at({ "stroke-width": thick / 2, "stroke-dasharray": [12, 3, 0.1, 3].map((length) => length * thick).join(" ") }) }));
    svg.append(drawn("path", { d: `M${-wide} 0H${wide}`, ...at({ "stroke-width": thick / 2 }) }));
    return svg;
  }

  // A sample of a form's line, for the table's head.
  function sample(place) {
    const svg = drawn("svg", { viewBox: "0 0 44 6", class: "drawing sample", "aria-hidden": "true" });
    svg.append(drawn("path", { d: "M1 3H43", fill: "none", stroke: "currentColor", "stroke-linecap": "round", "stroke-width": place === 2 ? 2.6 : 1.7, ...(LINES[place] ? { "stroke-dasharray": LINES[place].split(" ").map((length) => length * 2).join(" ") } : {}), ...(place === 0 ? { class: "first" } : {}) }));
    return svg;
  }

  function apart(row, first, write) {
    const by = row.value - first.value, sign = by < 0 ? "−" : "+", size = Math.abs(by);
    const said = row.kind === "small" ? write.length(size, { small: true }) : row.kind === "whole" ? write.whole(size) : row.kind === "length" ? write.length(size) : row.kind === "mass" ? write.mass(size)
      : row.kind === "volume" ? write.volume(size) : row.kind === "share" ? write.share(size) : write.decimal(size, 1);
    return /[1-9½¼¾⅛⅜⅝⅞¹-⁹]/.test(said) ? `${sign}${said}` : spoken("same");
  }

  function table(forms, write) {
    const whole = element("table", "", "compares"), head = element("tr"), body = element("tbody"), top = element("thead"), names = [];
    head.append(element("td"));
    forms.forEach((form, place) => {
      const cell = element("th"), link = element("a", form.title);
      cell.scope = "col";
      link.href = `forms/${form.slug}.html`;
      cell.append(sample(place), link);
      if (form.code) cell.append(" ", element("small", form.code));
      head.append(cell);
    });
    for (const form of forms) for (const row of form.rows) if (!names.includes(row.name)) names.push(row.name);
    const line = (name, cells) => { const row = element("tr"), first = element("th", name); first.scope = "row"; row.append(first, ...cells); body.append(row); };
    line(spoken("Clay"), forms.map((form) => element("td", form.clay)));
    for (const name of names) {
      const found = forms.map((form) => form.rows.find((row) => row.name === name));
      line(name, found.map((row, place) => {
        const cell = element("td", row ? row.text : "–", "n");
        if (row && place && found[0]) cell.append(element("small", apart(row, found[0], write)));
        return cell;
      }));
    }
    top.append(head);
    whole.append(top, body);
    return whole;
  }

  document.addEventListener("DOMContentLoaded", () => {
    const page = document.querySelector("article.compare");
    if (!page) return;
    const tools = JSON.parse(page.dataset.tools), write = { ...sizes.writer(tools), whole: sizes.writer({ ...tools, ruler_mm: 1, inch_in: 1 / 16 }).length };
    const boxes = [...page.querySelectorAll('input[type="checkbox"]')], choice = page.querySelector(".choice");
    const said = page.querySelector(".said"), compared = page.querySelector(".compared"), filter = page.querySelector('input[type="search"]');
    const asked = (words) => (new URLSearchParams(words).get("forms") || "").split(",");
    let chosen = [...new Set([...asked(location.search), ...asked(location.hash.slice(1))])].filter((slug) => boxes.some((box) => box.value === slug)).slice(0, MOST);

    function keep() {
      const forms = `forms=${chosen.map(encodeURIComponent).join(",")}`;
      // A page from a disk may not be told another address; what follows # it may.
      try { history.replaceState(null, "", chosen.length ? `?${forms}` : location.pathname); } catch { history.replaceState(null, "", `#${chosen.length ? forms : ""}`); }
    }

    show = () => {
      boxes.forEach((box) => { box.checked = chosen.includes(box.value); box.disabled = !box.checked && chosen.length >= MOST; });
      choice.querySelector("summary span").textContent = chosen.length ? spoken("{count} of {all}", { count: chosen.length, all: MOST }) : "";
      chosen.forEach(read);
      const forms = chosen.map((slug) => known.get(slug) && { slug, ...known.get(slug) }).filter(Boolean), lost = chosen.filter((slug) => !known.has(slug));
      compared.hidden = forms.length < 1;
      said.textContent = lost.length ? spoken("A form could not be read.") : chosen.length === 0 ? spoken("Choose two to four forms.") : forms.length < chosen.length ? "" : chosen.length === 1 ? spoken("{form}; choose another to set beside it.", { form: forms[0].title }) : `${forms.map((form) => form.title).join(", ")}.`;
      if (!forms.length) return;
      compared.querySelector("figure").replaceChildren(picture(forms));
      compared.querySelector(".wide").replaceChildren(table(forms, write));
    };

    page.querySelector(".plainly").hidden = true;
    choice.hidden = false;
    choice.open = chosen.length < 2;
    boxes.forEach((box) => box.addEventListener("change", () => {
      chosen = box.checked ? [...chosen, box.value].slice(0, MOST) : chosen.filter((slug) => slug !== box.value);
      keep();
      show();
    }));
    const fold = (words) => words.toLowerCase().normalize("NFKD").replace(/\p{M}/gu, "");
    filter.addEventListener("input", () => {
      const wanted = fold(filter.value).split(/\s+/).filter(Boolean);
      boxes.forEach((box) => { const line = box.closest("li"), words = fold(line.textContent); line.hidden = !box.checked && !wanted.every((word) => words.includes(word)); });
    });
    show();
  });

  return { add(slug, form) { known.set(slug, form); show(); } };
})();
