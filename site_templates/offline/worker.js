// Keeps the site for when there is no network: what `offline.json` lists after one visit, and what else was opened.
// A page comes from the network where that answers soon; else as it was kept, and then it is told that it was.
"use strict";

const ROOT = new URL(self.registration.scope), LIST = "offline.json";
const KEPT = `kept ${ROOT.href}`, OPENED = `opened ${ROOT.href}`, MOST_OPENED = 40, MOST_MISSES = 8;
// How long a page is waited for, and for how long after that nothing is waited for again; ms.
const PATIENCE = 3000, REST = 10000;

const shown = new Map(); // by path: what was shown last from what was kept; nothing where it came from the network
let ended = false, list = null, restUntil = 0, filling = null;

// Where a thing stands on the site, whatever is asked of it; null where it is none of the site's.
function pathOf(address) {
  const url = new URL(address);
  if (url.origin !== ROOT.origin || !url.pathname.startsWith(ROOT.pathname)) return null;
  const path = decodeURI(url.pathname.slice(ROOT.pathname.length));
  return path === "" || path.endsWith("/") ? `${path}index.html` : path;
}
const addressOf = (path) => new URL(path.split("/").map(encodeURIComponent).join("/"), ROOT).href;

const later = (ms) => new Promise((done) => setTimeout(done, ms));

async function keptAt(path) {
  for (const name of [KEPT, OPENED]) {
    const found = await (await caches.open(name)).match(addressOf(path));
    if (found) return found;
  }
  return undefined;
}

// With what is known of the edition it came with: its digest, and what is told of it when it is shown again.
async function keep(path, response, edition) {
  const head = new Headers(response.headers), listed = edition && edition.files[path];
  for (const name of ["content-encoding", "content-length"]) head.delete(name);
  head.set("x-digest", listed || "");
  head.set("x-told", edition ? edition.told : "");
  const body = await response.blob(), cache = await caches.open(listed ? KEPT : OPENED);
  await cache.put(addressOf(path), new Response(body, { status: 200, headers: head }));
  if (listed) return;
  const opened = await cache.keys();
  for (const old of opened.slice(0, Math.max(0, opened.length - MOST_OPENED))) await cache.delete(old);
}

// The list of the edition that stands on the network, or null; where there is a site without one, nothing is kept any more.
async function freshList() {
  try {
    const response = await fetch(addressOf(LIST), { cache: "no-cache", signal: AbortSignal.timeout(20000) });
    restUntil = 0; // the network answers again
    if (response.status === 404 || response.status === 410) await giveUp();
    if (!response.ok) return null;
    const copy = response.clone(), fresh = await response.json();
    list = fresh;
    await (await caches.open(KEPT)).put(addressOf(LIST), copy);
    return fresh;
  } catch {
    return null;
  }
}
async function keptList() {
  if (list) return list;
  const found = await (await caches.open(KEPT)).match(addressOf(LIST));
  const said = found ? await found.json() : null;
  list = list || said; // a newer one may have come meanwhile
  return list;
}
async function giveUp() {
  ended = true;
  list = null;
  await filling;
  await Promise.all([caches.delete(KEPT), caches.delete(OPENED), self.registration.unregister()]);
}

// Everything that the list names and that is not kept yet, a few at a time; then what no list names any more goes.
async function fill(edition) {
  const cache = await caches.open(KEPT), wanted = Object.keys(edition.files);
  let whole = true, misses = 0;
  const work = async () => {
    for (let path = wanted.shift(); path !== undefined && !ended; path = wanted.shift()) {
      const there = await cache.match(addressOf(path));
      if (there && there.headers.get("x-digest") === edition.files[path]) continue;
      try {
        const response = await fetch(addressOf(path), { cache: "no-cache" });
        if (response.ok) await keep(path, response, edition); else whole = false;
      } catch {
        misses += 1; // once is bad luck; after that the network is gone, and the next visit goes on from here
        if (misses > MOST_MISSES) { whole = false; wanted.length = 0; } else { wanted.push(path); await later(500); }
      }
    }
  };
  await Promise.all([work(), work(), work()]);
  if (!whole || ended) return;
  for (const request of await cache.keys()) {
    const path = pathOf(request.url);
    if (path !== LIST && !(path in edition.files)) await cache.delete(request);
  }
}

async function answer(event, path) {
  const asked = fetch(event.request, { cache: "no-cache" }).then((response) => (response.status >= 500 ? Promise.reject(response) : response));
  asked.catch(() => { restUntil = Date.now() + REST; });
  const isPage = event.request.mode === "navigate";
  const isKept = path.endsWith(".html") || path.endsWith(".pdf") || Boolean(((await keptList()) || { files: {} }).files[path]);
  event.waitUntil(asked.then(async (response) => {
    restUntil = 0;
    const copy = isKept && response.status === 200 && response.type === "basic" ? response.clone() : null;
    if (isPage) await freshList(); // asked here too: where a site keeps nothing any more no page asks
    const edition = await keptList();
    if (copy && edition && !ended) await keep(path, copy, edition);
  }).catch(() => { /* no network, or no room left */ }));
  const kept = await keptAt(path);
  if (!kept) return asked.catch((fault) => (fault instanceof Response ? fault : Response.error()));
  const told = () => {
    if (isPage) shown.set(path, { told: kept.headers.get("x-told"), digest: kept.headers.get("x-digest") });
    return kept;
  };
  if (Date.now() < restUntil) return told();
  const soon = Promise.race([asked, later(PATIENCE).then(() => { restUntil = Date.now() + REST; return null; })]);
  return soon.then((response) => { if (response && isPage) shown.delete(path); return response || told(); }, told);
}

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const path = event.request.method === "GET" && !event.request.headers.has("range") ? pathOf(event.request.url) : null;
  if (path === null || path === LIST) return;
  event.respondWith(answer(event, path));
});

// A page asks what it is: kept, or from the network; and, once the network has answered, whether there is a newer one by now.
self.addEventListener("message", (event) => event.waitUntil((async () => {
  const path = pathOf(event.data.address), port = event.ports[0], was = shown.get(path), before = await keptList();
  const told = was ? (before && was.digest === before.files[path] ? before.told : was.told) : "";
  const mine = event.data.digest || (was ? was.digest : "");
  if (was) port.postMessage({ digest: mine, kept: told });
  const fresh = await freshList();
  if (!fresh || ended) return;
  const digest = mine || fresh.files[path] || "", isOld = Boolean(digest && fresh.files[path] && digest !== fresh.files[path]);
  port.postMessage({ digest, kept: told, newer: isOld ? fresh.newer : "", show: fresh.show });
  filling = filling || fill(fresh).finally(() => { filling = null; });
  await filling;
})()));
