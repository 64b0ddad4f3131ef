// Where the site is served over https, or by this machine, it is kept for when there is no network; a page that comes from
// what was kept, or that has been followed by a newer one, says so. A page from a disk needs none of it.
(function () {
  "use strict";
  const here = document.currentScript, root = new URL("../../", here.src);
  if (!/^https?:$/.test(location.protocol)) return;
  const link = document.createElement("link");
  link.rel = "manifest";
  link.href = new URL("site.webmanifest", root);
  document.head.append(link);
  if (!navigator.serviceWorker) return;
  let digest = "", kept = "", newer = "";

  function tell(show) {
    const before = document.querySelector(".kept"), words = [kept, newer].filter(Boolean).join(" ");
    if (!words) { if (before) before.remove(); return; }
    if (before?.dataset.told === words) return;
    const line = before || document.createElement("p");
    line.className = "kept";
    line.dataset.told = words;
    line.setAttribute("role", "status");
    if (!before) document.body.prepend(line);
    line.textContent = words;
    if (!newer) return;
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = show;
    button.addEventListener("click", () => location.reload());
    line.append(" ", button);
  }

  async function ask() {
    const { active } = await navigator.serviceWorker.ready, { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => { digest = data.digest; kept = data.kept || kept; newer = data.newer ?? newer; tell(data.show); };
    active.postMessage({ address: location.href, digest }, [port2]);
  }
  navigator.serviceWorker.register(new URL("offline.js", root)).catch(() => { /* no network, or a browser that refuses: then nothing new is kept */ });
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", ask); else ask();
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") ask(); });
  for (const way of ["online", "offline"]) addEventListener(way, ask);
  setInterval(() => { if (document.visibilityState === "visible") ask(); }, 600000);
})();
