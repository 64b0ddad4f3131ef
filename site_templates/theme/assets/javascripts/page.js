// Every page: the light and units that were chosen, and a word to old cards.
(function () {
  "use strict";
  try { const light = localStorage.getItem("light"); if (light) document.documentElement.dataset.light = light; } catch { /* not from a disk */ }

  // The last is for a card that nobody remembers.
  document.addEventListener("DOMContentLoaded", () => {
    const page = document.querySelector("article[data-revision]"), card = new URLSearchParams(location.search).get("revision");
    if (!page || !card || card === page.dataset.revision) return;
    const told = [...page.querySelectorAll(".older")];
    (told.find((words) => words.dataset.card === card) || told.find((words) => !words.dataset.card)).hidden = false;
    const warn = page.querySelector(".warn");
    if (warn) warn.hidden = false;
  });

  // Large and small change places.
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
