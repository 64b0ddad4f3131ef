// What every page does, a bench view too: the light that somebody chose, and a word to whoever comes from an old card.
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
})();
