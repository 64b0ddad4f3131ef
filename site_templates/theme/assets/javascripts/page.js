// What every page does, a bench view too: the light and the units that somebody chose, and a word to whoever comes from an old card.
(function () {
  "use strict";
  try { const light = localStorage.getItem("light"); if (light) document.documentElement.dataset.light = light; } catch { /* a page from a disk may keep nothing */ }

  // What is told to each old card is in the page, hidden; the last is for a card that nobody remembers.
  document.addEventListener("DOMContentLoaded", () => {
    const page = document.querySelector("article[data-revision]"), card = new URLSearchParams(location.search).get("revision");
    if (!page || !card || card === page.dataset.revision) return;
    const told = [...page.querySelectorAll(".older")];
    (told.find((words) => words.dataset.card === card) || told.find((words) => !words.dataset.card)).hidden = false;
    // The notice stands after the numbers; a word at the top leads to it.
    const warn = page.querySelector(".warn");
    if (warn) warn.hidden = false;
  });

  // One unit system first or the other: large and small change places, and what was chosen is kept.
  document.addEventListener("DOMContentLoaded", () => {
    const button = document.querySelector(".units"), all = (wanted, then) => document.querySelectorAll(wanted).forEach(then);
    if (!button) return;
    const systems = button.dataset.units.split(" ");
    const turn = () => {
      all("[data-set]", (row) => {
        const numbers = [...row.querySelectorAll(".n > *, :scope > b")], unit = row.querySelector(".unit, .u"), to = row.dataset.set.split("|");
        row.dataset.set = [...numbers, unit].map((one) => one.textContent).join("|");
        row.querySelector("small, .o").textContent = numbers.map((one) => `${one.previousElementSibling?.matches("i") ? one.previousElementSibling.textContent : ""} ${one.textContent} ${unit.textContent}`.trim()).join(" ");
        [...numbers, unit].forEach((one, at) => { one.ariaLabel = one.ariaLabel?.replace(one.textContent, to[at]) ?? null; one.textContent = to[at]; });
      });
      all("[data-other]", (one) => { [one.textContent, one.dataset.other] = [one.dataset.other, one.textContent]; });
      document.documentElement.toggleAttribute("data-turned");
      systems.reverse();
    };
    button.hidden = false;
    button.addEventListener("click", () => { turn(); try { localStorage.setItem("units", systems[0]); } catch { /* not kept */ } });
    try { if (localStorage.getItem("units") === systems[1]) turn(); } catch { /* as the studio has it */ }
  });
})();
