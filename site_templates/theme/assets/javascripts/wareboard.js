// What a page does beyond being read: light or dark, search, a filter for the workings.
// No other host is asked for anything. Texts are put in as text, never as markup.
(function () {
  "use strict";
  const here = document.currentScript;
  const root = new URL((here.dataset.root || ".").replace(/\/?$/, "/"), location.href);
  const page = document.documentElement;
  // A message in the page's language, which hands over its words; in English as it stands here.
  const words = JSON.parse(here.dataset.words || "{}");
  const tell = (message, put = {}) => (words[message] || message).replace(/\{(\w+)\}/g, (whole, name) => put[name] ?? whole);
  // Without case and accents; fractions as they are typed, 3 15/32, and 88.0 as 88.
  const fold = (words) => words.replace(/(\d)([¼-¾⅐-⅞⁰¹²³⁴-⁹])/g, "$1 $2").toLowerCase().normalize("NFKD").replace(/\p{M}/gu, "").replace(/⁄/g, "/").replace(/(\d)[.,]0(?!\d)/g, "$1").replace(/(\d),(\d)/g, "$1.$2");

  // Light or dark: as the system has it, until somebody says otherwise; `page.js` puts back what was said.
  const keep = (to) => { try { localStorage.setItem("light", to); } catch { /* a page from a disk may keep nothing */ } };
  const isDark = () => page.dataset.light ? page.dataset.light === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;

  function setLight() {
    const button = document.querySelector("button.light");
    if (!button) return;
    const say = () => { button.textContent = isDark() ? tell("Light page") : tell("Dark page"); };
    button.hidden = false;
    button.addEventListener("click", () => { page.dataset.light = isDark() ? "light" : "dark"; keep(page.dataset.light); say(); });
    say();
  }

  const AT_ONCE = 12;

  // The index is a script, because a page that was opened from a disk may not fetch.
  let index = null;
  function loadIndex() {
    index = index || new Promise((done) => {
      const script = document.createElement("script");
      script.src = new URL("search/search_index.js", root);
      script.onload = () => done((window.__index ? window.__index.docs : []).map((entry) => ({
        path: entry.location, title: asText(entry.title), text: asText(entry.text),
      })).map((entry) => ({ ...entry, inTitle: fold(entry.title), inText: fold(entry.text) })));
      script.onerror = () => done([]);
      document.head.append(script);
    });
    return index;
  }
  const asText = (html) => new DOMParser().parseFromString(html || "", "text/html").body.textContent;

  // A size goes together: "88 mm", "3 1/2 in", "1 lb 3 oz".
  const SIZES = /\d[\d./ ]*(?:mm|cm|in|g|kg|ml|l|oz|lb|fl oz)(?![a-z])(?: \d[\d./ ]*oz(?![a-z]))?|\S+/g;
  const wordsOf = (words) => fold(words).match(SIZES) || [];

  // How well a word stands in a text: at its beginning, as a word, inside one; numbers only whole.
  function stands(text, word) {
    for (let at = text.indexOf(word); at >= 0; at = text.indexOf(word, at + 1)) {
      const begins = at === 0 || !/[\p{L}\d./]/u.test(text[at - 1]);
      if (begins && !(/^\d/.test(word) && text[at - 2] && /\d /.test(text.slice(at - 2, at)) && word.includes("/"))) {
        if (!/\d$/.test(word) || !/[\d./]/.test(text[at + word.length] || "")) return at === 0 ? 3 : 2;
      } else if (!/\d/.test(word)) return 1;
    }
    return 0;
  }

  // True where one letter is wrong, missing or too many, or two have changed places.
  function isSlip(one, other) {
    if (Math.abs(one.length - other.length) > 1 || one === other) return one === other;
    let at = 0;
    while (one[at] === other[at]) at += 1;
    return one.slice(at + 1) === other.slice(at + 1) || one.slice(at + 1) === other.slice(at) || one.slice(at) === other.slice(at + 1)
      || (one[at] === other[at + 1] && one[at + 1] === other[at] && one.slice(at + 2) === other.slice(at + 2));
  }

  function look(entries, words) {
    const wanted = wordsOf(words), whole = fold(words).trim();
    if (!wanted.length) return [];
    const ranked = (worth) => entries.map((entry) => [worth(entry), entry]).filter(([sum]) => sum).sort((a, b) => b[0] - a[0]).map(([, entry]) => entry);
    const summed = (entry, of) => wanted.reduce((sum, word) => { const more = sum === null ? 0 : of(entry, word); return more ? sum + more : null; }, 0);
    const exact = ranked((entry) => {
      const sum = summed(entry, (one, word) => 6 * stands(one.inTitle, word) || stands(one.inText, word));
      return sum && sum + (entry.path.startsWith("forms/") ? 0.5 : 0) + (entry.inTitle === whole ? 1000 : entry.inTitle.startsWith(whole) ? 100 : 0);
    });
    if (exact.length) return exact;
    const forgiven = (text, word) => word.length > 3 && !/\d/.test(word) && text.split(/[^\p{L}]+/u).some((known) => isSlip(known, word));
    return ranked((entry) => {
      const sum = summed(entry, (one, word) => stands(one.inTitle, word) || stands(one.inText, word) || (forgiven(one.inTitle, word) ? 4 : forgiven(one.inText, word) ? 1 : 0));
      return sum && sum + (entry.path.startsWith("forms/") ? 0.5 : 0);
    });
  }

  function around(entry, words) {
    const at = entry.inText.indexOf(fold(words).split(/\s+/)[0]);
    if (at < 0 || entry.inText.length !== entry.text.length) return entry.text.slice(0, 90);
    return (at > 30 ? "…" : "") + entry.text.slice(Math.max(0, at - 30), at + 70);
  }

  function setSearch() {
    const form = document.querySelector("form.find");
    if (!form) return;
    const box = form.querySelector("input");
    const list = form.querySelector("ol");
    form.hidden = false;
    const said = form.querySelector(".said");
    const lineOf = (entry) => {
      const line = document.createElement("li"), link = document.createElement("a"), title = document.createElement("b"), text = document.createElement("span");
      link.href = new URL(entry.path, root);
      title.textContent = entry.title;
      text.textContent = around(entry, box.value);
      link.append(title, " ", text);
      line.append(link);
      return line;
    };
    const show = async (event, count = AT_ONCE) => {
      const entries = look(await loadIndex(), box.value), asked = box.value.trim();
      list.replaceChildren(...entries.slice(0, count).map(lineOf));
      const line = document.createElement("li");
      if (!entries.length && asked) {
        line.textContent = tell("Nothing is called that.");
        list.append(line);
      } else if (entries.length > count) {
        const more = document.createElement("button");
        more.type = "button";
        more.textContent = tell("More, {count}", { count: entries.length - count });
        more.addEventListener("click", async () => { await show(null, count + AT_ONCE); list.querySelectorAll("a")[count].focus(); });
        line.append(more);
        list.append(line);
      }
      said.textContent = !asked ? "" : entries.length ? tell("{count} of {all} found", { count: Math.min(count, entries.length), all: entries.length }) : tell("Nothing is called that.");
      list.hidden = !asked;
    };
    box.addEventListener("focus", loadIndex);
    box.addEventListener("input", show);
    form.addEventListener("submit", (event) => { event.preventDefault(); const first = list.querySelector("a"); if (first) location.href = first.href; });
    form.addEventListener("keydown", (event) => {
      const links = [...list.querySelectorAll("a, button")], at = links.indexOf(document.activeElement);
      if (event.key === "Escape") { box.value = ""; list.hidden = true; box.blur(); }
      if (event.key === "ArrowDown" && links[at + 1]) { event.preventDefault(); links[at + 1].focus(); }
      if (event.key === "ArrowUp" && at >= 0) { event.preventDefault(); (links[at - 1] || box).focus(); }
    });
    // Whatever has the focus is never behind the list.
    form.addEventListener("focusout", (event) => { if (event.relatedTarget && !form.contains(event.relatedTarget)) list.hidden = true; });
    box.addEventListener("focus", () => { if (box.value.trim()) show(); });
    document.addEventListener("click", (event) => { if (!form.contains(event.target)) list.hidden = true; });
    document.addEventListener("keydown", (event) => {
      if (event.key === "/" && !/^(INPUT|TEXTAREA|SELECT)$/.test(document.activeElement.tagName)) { event.preventDefault(); box.focus(); }
    });
  }

  function setWorkings() {
    const workings = document.querySelector("article.workings");
    if (!workings) return;
    const line = workings.querySelector(".filter"), box = line.querySelector("input"), count = line.querySelector("output");
    let rows = null;
    line.hidden = false;
    box.addEventListener("input", () => {
      rows = rows || [...workings.querySelectorAll("tbody tr")].map((row) => [row, fold(row.textContent)]);
      const wanted = fold(box.value).split(/\s+/).filter(Boolean);
      let shown = 0;
      for (const [row, words] of rows) {
        row.hidden = !wanted.every((word) => words.includes(word));
        shown += row.hidden ? 0 : 1;
      }
      count.textContent = wanted.length ? tell("{count} of {all}", { count: shown, all: rows.length }) : "";
    });
    const open = () => {
      const row = location.hash.length > 1 && document.getElementById(decodeURIComponent(location.hash.slice(1)));
      if (row && workings.contains(row)) { row.hidden = false; row.scrollIntoView({ block: "center" }); }
    };
    addEventListener("hashchange", open);
    open();
  }

  // A form's page: the contents tell where one is; on a phone what comes after trimming is folded until it is asked for.
  function setContents() {
    const contents = document.querySelector(".contents");
    if (!contents) return;
    const links = [...contents.querySelectorAll("a")], places = links.map((link) => document.getElementById(decodeURIComponent(link.hash.slice(1))));
    const small = matchMedia("(max-width: 40rem), (max-height: 30rem)").matches;
    const fold = (section, folded) => {
      section.toggleAttribute("data-folded", folded);
      section.querySelector(".step button").ariaExpanded = String(!folded);
    };
    const unfold = () => {
      const place = location.hash.length > 1 && document.getElementById(decodeURIComponent(location.hash.slice(1))), section = place && place.closest("[data-folded]");
      if (section) { fold(section, false); place.scrollIntoView(); }
    };
    if (small) for (const place of places.slice(places.findIndex((one) => one.id === "trimming") + 1)) {
      if (!place.matches(".step") || place.id === "workings") continue;
      const heading = place.querySelector("h2"), button = document.createElement("button"), section = place.closest("section");
      button.type = "button";
      button.append(...heading.childNodes);
      heading.append(button);
      button.addEventListener("click", () => fold(section, !section.hasAttribute("data-folded")));
      fold(section, true);
    }
    links.forEach((link, at) => link.addEventListener("click", () => { const section = places[at].closest("[data-folded]"); if (section) fold(section, false); }));
    addEventListener("hashchange", unfold);
    unfold();
    let now = null;
    const follow = () => {
      const passed = places.filter((place) => place.checkVisibility() && place.getBoundingClientRect().top < innerHeight * 0.4), at = Math.max(0, places.indexOf(passed[passed.length - 1]));
      if (links[at] === now) return;
      if (now) now.removeAttribute("aria-current");
      now = links[at];
      now.setAttribute("aria-current", "true");
      if (contents.scrollWidth > contents.clientWidth) contents.scrollLeft += now.closest(".contents > ul > li").getBoundingClientRect().left - contents.getBoundingClientRect().left - 16;
    };
    addEventListener("scroll", follow, { passive: true });
    addEventListener("resize", follow);
    follow();
  }

  // The drawing of all sizes at another stage: a form shrinks evenly across and evenly up, so its picture does.
  function setStaging() {
    const staging = document.querySelector(".staging"), figure = staging && staging.nextElementSibling, svg = figure && figure.querySelector("svg");
    if (!svg) return;
    const choices = [...staging.querySelectorAll("input")], scaleOf = (choice) => choice.dataset.scale.split(" ").map(Number);
    const title = svg.querySelector("title"), described = svg.querySelector("desc"), caption = figure.querySelector("figcaption"), texts = [...svg.querySelectorAll("text")];
    const picture = document.createElementNS("http://www.w3.org/2000/svg", "g"), name = title.textContent.split(",")[0];
    picture.append(...[...svg.children].filter((part) => part !== title && part !== described));
    svg.append(picture);
    // Room for the largest; all stand on one foot.
    const { x, y, width, height } = svg.viewBox.baseVal, most = [0, 1].map((way) => Math.max(...choices.map((choice) => scaleOf(choice)[way])));
    svg.setAttribute("viewBox", [x - (most[0] - 1) * width / 2, y - (most[1] - 1) * height, most[0] * width, most[1] * height].join(" "));
    picture.classList.add("staged");
    let shown = choices.findIndex((choice) => choice.defaultChecked);
    const show = () => {
      const next = choices.findIndex((choice) => choice.checked), [across, up] = scaleOf(choices[next]);
      picture.setAttribute("transform", `translate(${(x + width / 2) * (1 - across)} ${(y + height) * (1 - up)}) scale(${across} ${up})`);
      for (const text of texts) {
        const sizes = (text.dataset.stages || "").split("|");
        if (sizes.length === choices.length) text.textContent = text.textContent.slice(0, -sizes[shown].length) + sizes[next];
      }
      shown = next;
      caption.textContent = choices[next].value;
      title.textContent = `${name}: ${choices[next].value}`;
      described.textContent = texts.map((text) => text.textContent).join("; ");
    };
    staging.hidden = false;
    staging.addEventListener("change", show);
    show();  // coming back, a browser may keep what was chosen
  }

  // The front page: fewer forms and another order. The choice stands in the address, so that it can be kept and sent.
  function setCatalogue() {
    const form = document.querySelector(".narrow"), table = document.querySelector("table.catalogue");
    if (!form || !table) return;
    const body = table.tBodies[0], rows = [...body.rows], told = form.querySelector("output");
    const drawn = new Map([...document.querySelectorAll(".shelf li")].map((item) => [item.dataset.form, item]));
    const fields = [...form.querySelectorAll("[name]")], named = Object.fromEntries(fields.map((field) => [field.name, field])), clayOf = (row) => row.cells[2].textContent;
    const offer = (name, words) => named[name].append(...[...new Set(words)].sort().map((word) => new Option(word)));
    offer("family", rows.map((row) => row.dataset.family));
    offer("clay", rows.map(clayOf));
    const heads = [...table.tHead.rows[0].cells];
    let by = -1, down = false;

    const number = (name, otherwise) => {
      const field = named[name], value = parseFloat(field.value.replace(",", "."));
      return Number.isFinite(value) ? value * parseFloat(field.dataset.factor) : otherwise;
    };
    const between = (values, least, most) => (least === null && most === null) || values.some((value) => value >= (least ?? -Infinity) - 1e-6 && value <= (most ?? Infinity) + 1e-6);
    const numbers = (words) => (words || "").split(" ").filter(Boolean).map(Number);
    function narrow() {
      const is = (name, value) => !named[name].value || named[name].value === value;
      let count = 0;
      for (const row of rows) {
        const { family, lid, holds, balls } = row.dataset;
        row.hidden = !(is("family", family) && is("clay", clayOf(row)) && is("lid", lid)
          && between(numbers(holds), number("least", null), number("most", null)) && between(numbers(balls), number("lightest", null), number("heaviest", null)));
        const item = drawn.get(row.dataset.form);
        if (item) item.hidden = row.hidden;
        count += row.hidden ? 0 : 1;
      }
      for (const family of document.querySelectorAll(".family")) family.hidden = !family.querySelector("li:not([hidden])");
      told.textContent = count === rows.length ? "" : count ? tell("{count} of {all} forms", { count, all: rows.length }) : tell("No form is like that.");
    }

    const valueOf = (row, at) => {
      const key = heads[at].dataset.by;
      if (!key) return row.cells[at].textContent.trim();
      return numbers(row.dataset[key]).reduce((sum, value) => sum + value, 0) || null;
    };
    const words = new Intl.Collator(document.documentElement.lang || undefined, { numeric: true });  // made once: it is slow to make
    function sort() {
      const value = by < 0 ? null : new Map(rows.map((row) => [row, valueOf(row, by)]));
      const order = by < 0 ? rows : [...rows].sort((one, other) => {
        const [a, b] = [value.get(one), value.get(other)];
        if (a === null || b === null) return (a === null) - (b === null);  // what is not known stands last, either way
        return (typeof a === "number" ? a - b : words.compare(a, b)) * (down ? -1 : 1);
      });
      body.append(...order);
      heads.forEach((head, at) => at === by ? head.setAttribute("aria-sort", down ? "descending" : "ascending") : head.removeAttribute("aria-sort"));
    }

    function keep() {
      const said = new URLSearchParams(fields.filter((field) => field.value).map((field) => [field.name, field.value]));
      if (by >= 0) said.set("by", (down ? "-" : "") + by);
      try { history.replaceState(null, "", `#${said}`); } catch { /* from a disk an address may have to stay */ }
    }
    function take() {
      const said = new URLSearchParams(location.hash.slice(1));
      for (const field of fields) field.value = said.get(field.name) || "";
      by = heads[Math.abs(parseInt(said.get("by"), 10))] ? Math.abs(parseInt(said.get("by"), 10)) : -1;
      down = (said.get("by") || "").startsWith("-");
      narrow();
      sort();
    }

    heads.forEach((head, at) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = head.textContent;
      head.replaceChildren(button);
      button.addEventListener("click", () => { down = by === at && !down; by = at; sort(); keep(); });
    });
    // On a phone the forms come first; a choice that stands in the address is shown.
    const folded = form.closest("details");
    folded.open = matchMedia("(min-width: 40rem)").matches || location.hash.length > 1;
    folded.hidden = form.hidden = false;
    form.addEventListener("input", () => { narrow(); keep(); });
    form.querySelector("button").addEventListener("click", () => { for (const field of fields) field.value = ""; by = -1; narrow(); sort(); keep(); });
    addEventListener("hashchange", take);
    take();
  }

  // A table that scrolls aside is reached by the keyboard (WCAG 2.1.1); one that does not is no stop on the way.
  function setScrolling() {
    const tables = [...document.querySelectorAll(".wide")].filter((one) => !one.querySelector("a, button, input"));
    const look = () => {
      for (const one of tables) {
        const does = one.scrollWidth > one.clientWidth;
        one.toggleAttribute("tabindex", does);
        if (!does) { one.removeAttribute("role"); one.removeAttribute("aria-label"); continue; }
        one.tabIndex = 0;
        one.setAttribute("role", "group");
        one.setAttribute("aria-label", (one.querySelector("caption") || (one.closest("section") || document).querySelector("h2, h1")).textContent);
      }
    };
    if (!tables.length) return;
    addEventListener("resize", look);
    document.addEventListener("toggle", look, true);
    look();
  }

  document.addEventListener("DOMContentLoaded", () => { setScrolling(); setCatalogue(); setLight(); setSearch(); setWorkings(); setContents(); setStaging(); });
})();
