// Which stage it is, arrow keys, a screen that stays awake.
(function () {
  "use strict";

  function followStages() {
    const stages = document.querySelector(".stages"), tabs = [...document.querySelectorAll(".tabs a")];
    if (!stages || !tabs.length) return;
    const sections = tabs.map((tab) => document.querySelector(tab.getAttribute("href")));
    const now = () => tabs.findIndex((tab) => tab.hasAttribute("aria-current"));
    const show = (at) => {
      tabs.forEach((tab, place) => { if (place === at) tab.setAttribute("aria-current", "true"); else tab.removeAttribute("aria-current"); });
      // Coming back, it is the stage that was left.
      try { history.replaceState(null, "", tabs[at].getAttribute("href")); } catch { /* not from a disk */ }
    };
    const go = (at) => {
      if (!tabs[at]) return;
      stages.scrollTo({ left: at * stages.clientWidth });
      sections[at].focus({ preventScroll: true });
    };
    stages.addEventListener("scroll", () => {
      const at = Math.round(stages.scrollLeft / stages.clientWidth);
      if (tabs[at] && at !== now()) show(at);
    }, { passive: true });
    // Turned, it stays.
    new ResizeObserver(() => stages.scrollTo({ left: Math.max(0, now()) * stages.clientWidth })).observe(stages);
    tabs.forEach((tab, at) => tab.addEventListener("click", (event) => { event.preventDefault(); show(at); go(at); }));
    document.addEventListener("keydown", (event) => {
      const way = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
      if (!way || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
      event.preventDefault();
      const at = Math.min(tabs.length - 1, Math.max(0, now() + way));
      show(at);
      go(at);
    });
    const wanted = tabs.findIndex((tab) => tab.getAttribute("href") === location.hash);
    if (wanted > 0) { show(wanted); stages.scrollTo({ left: wanted * stages.clientWidth }); }
  }

  async function stayAwake() {
    if (!navigator.wakeLock || document.visibilityState !== "visible") return;
    try { await navigator.wakeLock.request("screen"); } catch { /* a low battery may refuse */ }
  }

  document.addEventListener("DOMContentLoaded", () => { followStages(); stayAwake(); });
  document.addEventListener("visibilitychange", stayAwake);
})();
