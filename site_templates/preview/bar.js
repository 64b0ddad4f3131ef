// The preview's bar: a message that is new is said aloud once, one that was put away stays away until it changes.
(function () {
  "use strict";
  const bar = document.querySelector(".faultbar"), said = document.querySelector(".faultbar-said");
  const kept = (name) => { try { return JSON.parse(sessionStorage.getItem(name) || "[]"); } catch { return []; } };
  const keep = (name, keys) => { try { sessionStorage.setItem(name, JSON.stringify(keys)); } catch { /* nothing is kept, all is said again */ } };
  const items = bar ? [...bar.querySelectorAll("li")] : [], keys = items.map((item) => item.dataset.message);
  let away = kept("faults-away").filter((key) => keys.includes(key));
  const told = kept("faults-told");

  const show = () => {
    if (!bar) return;
    for (const part of bar.querySelectorAll("[data-message]")) part.hidden = away.includes(part.dataset.message);
    for (const part of bar.querySelectorAll("summary span[hidden]")) part.remove();
    bar.hidden = items.every((item) => item.hidden);
  };
  items.forEach((item, place) => {
    const button = item.querySelector("button");
    button.hidden = false;
    button.setAttribute("aria-label", `Put away: ${item.querySelector("p").textContent.trim().slice(0, 80)}`);
    button.addEventListener("click", () => {
      away = [...away, keys[place]];
      keep("faults-away", away);
      const next = items.find((other) => !away.includes(other.dataset.message));
      show();
      if (next) next.querySelector("button").focus();
      else (document.querySelector("main h1") || document.body).focus();
    });
  });
  if (bar) bar.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && bar.open) { bar.open = false; bar.querySelector("summary").focus(); }
  });
  // Open it covers much of a page: whoever goes on in the page has read it.
  if (bar) document.addEventListener("focusin", (event) => {
    if (bar.contains(event.target)) return;
    bar.open = false;
    // A browser counts what peeps out above a screen's edge as seen, and does not scroll to it.
    const below = event.target.getBoundingClientRect().bottom + 8 - bar.getBoundingClientRect().top;
    if (!bar.hidden && below > 0 && event.target.tabIndex >= 0) scrollBy({ top: below, behavior: "instant" });
  });
  keep("faults-away", away);
  keep("faults-told", keys);
  show();
  // After a moment: what stands in a page from its beginning is not announced everywhere.
  const fresh = keys.find((key) => !told.includes(key));
  const words = fresh ? items[keys.indexOf(fresh)].querySelector("p").textContent.trim() : told.length && !keys.length ? "Mended: nothing is wrong any more." : "";
  if (words) setTimeout(() => { said.textContent = words; }, 300);
})();
