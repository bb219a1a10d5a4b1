/* Keeps pages on this device, so that they can be read without reception.

   The network is asked first; a saved copy is the answer only where the network gives none.
   The site marks what may be kept (Buoyline-Keep) and for whom a page was made
   (Buoyline-Person). Each person's pages lie in a cache of their own, which is emptied as soon
   as a page is for somebody else, nobody included. Nothing but GET is touched. */
"use strict";

const START = {{ start|safe }};
const PARTS = `buoyline-parts-${START.version}`;
const PAGES = "buoyline-pages-";
const WHO = "buoyline-who";
const NOBODY = "nobody";
const WAIT = 6000; // milliseconds for the network, where there is a saved copy
const PAGES_MOST = 150;
const SAVED = "Buoyline-Saved", TITLE = "Buoyline-Title";

/* ---- Beginning ------------------------------------------------------------------------- */
self.addEventListener("install", (event) => event.waitUntil(begin()));
self.addEventListener("activate", (event) => event.waitUntil(takeOver()));

async function begin() {
  const parts = await caches.open(PARTS);
  // Fetched without cookies, so that they show nobody's name, but in the language of who
  // brought the worker. One that fails stops nothing.
  const headers = { "Accept-Language": START.language };
  const wanted = [START.offline, ...START.parts].map((url) =>
    parts.add(new Request(url, { credentials: "omit", cache: "no-cache", headers })));
  await Promise.allSettled(wanted);
  await self.skipWaiting();
}

async function takeOver() {
  for (const name of await caches.keys()) {
    if (name.startsWith("buoyline-parts-") && name !== PARTS) await caches.delete(name);
  }
  await self.clients.claim();
}

/* ---- Answering ------------------------------------------------------------------------- */
// Answers that were overtaken by a later one say nothing any more about who is signed in.
let asked = 0, heard = 0;

self.addEventListener("fetch", (event) => {
  const { request } = event, url = new URL(request.url);
  if (url.origin !== self.location.origin) return;
  if (request.method === "POST" && START.out.includes(url.pathname)) event.waitUntil(forget());
  if (request.method !== "GET") return;
  if (request.mode === "navigate") event.respondWith(page(event));
  else if (url.pathname.startsWith(START.static)) event.respondWith(part(event));
});

async function page(event) {
  const { request } = event, turn = ++asked, coming = fetch(request);
  const kept = coming.then((answer) => keep(request.url, answer.clone(), turn));
  event.waitUntil(kept.catch(() => {}));
  const saved = await savedCopy(request.url);
  try {
    return await (saved ? inTime(coming) : coming);
  } catch {
    return saved ? asSaved(saved) : caches.match(START.offline, { cacheName: PARTS, ignoreVary: true });
  }
}

async function part(event) {
  const parts = await caches.open(PARTS);
  try {
    const answer = await fetch(event.request);
    if (answer.ok) event.waitUntil(parts.put(event.request, answer.clone()));
    return answer;
  } catch {
    return (await parts.match(event.request, { ignoreVary: true })) || Response.error();
  }
}

function inTime(coming) {
  const late = new Promise((_, fail) => setTimeout(() => fail(new Error("late")), WAIT));
  return Promise.race([coming, late]);
}

/* ---- Whose copies ---------------------------------------------------------------------- */
async function whoIsIn() {
  const said = await caches.match("/who", { cacheName: WHO });
  return said ? said.text() : NOBODY;
}

/** Note who is signed in, and drop every copy that was made for somebody else. */
async function setWho(person) {
  const own = [PAGES + person, PAGES + NOBODY];
  for (const name of await caches.keys()) {
    if (name.startsWith(PAGES) && !own.includes(name)) await caches.delete(name);
  }
  await (await caches.open(WHO)).put("/who", new Response(person));
}

async function forget() {
  heard = ++asked;
  await setWho(NOBODY);
}

/* ---- Saved copies ---------------------------------------------------------------------- */
async function savedCopy(url) {
  for (const whose of new Set([await whoIsIn(), NOBODY])) {
    const found = await caches.match(url, { cacheName: PAGES + whose, ignoreVary: true });
    if (found) return found;
  }
  return null;
}

/** Keep an answer if the site says so; returns when that was, or "". */
async function keep(url, answer, turn) {
  const person = answer.headers.get("Buoyline-Person");
  if (!person || turn < heard) return "";
  heard = turn;
  await setWho(person);
  if (!answer.ok || !answer.headers.get("Buoyline-Keep")) return "";
  const body = await answer.blob();
  const headers = new Headers(answer.headers), now = new Date().toISOString();
  headers.delete("Content-Encoding");
  headers.set(SAVED, now);
  headers.set(TITLE, encodeURIComponent(await titleOf(url, body, headers)));
  if (turn < heard) return ""; // somebody left while it was read
  const pages = await caches.open(PAGES + person);
  await pages.delete(url);
  await pages.put(url, new Response(body, { headers }));
  const all = await pages.keys(); // the oldest first
  for (const old of all.slice(0, Math.max(0, all.length - PAGES_MOST))) await pages.delete(old);
  return now;
}

function isPage(headers) {
  return (headers.get("Content-Type") || "").startsWith("text/html");
}

/** What a page calls itself, or a file; its address where it says nothing. */
async function titleOf(url, body, headers) {
  if (isPage(headers)) {
    const found = (await body.text()).match(/<title>([^<]*)<\/title>/);
    return found ? found[1].replace(" · Buoyline", "") : new URL(url).pathname;
  }
  const named = (headers.get("Content-Disposition") || "").match(/filename="([^"]+)"/);
  return named ? named[1].replace(/\.(\w+)$/, " ($1)").replaceAll("-", " ") : new URL(url).pathname;
}

function atTime(saved, language) {
  const at = new Date(saved), today = at.toDateString() === new Date().toDateString();
  const time = at.toLocaleTimeString(language, { hour: "2-digit", minute: "2-digit" });
  const day = at.toLocaleDateString(language, { day: "numeric", month: "long" });
  return today ? time : `${day}, ${time}`;
}

/** A saved page that says what it is; files are handed out as they are. */
async function asSaved(saved) {
  if (!isPage(saved.headers)) return saved;
  const html = await saved.text(), found = (pattern) => (html.match(pattern) || [])[1];
  const time = atTime(saved.headers.get(SAVED), found(/<html lang="([^"]+)"/));
  // The sentence is the page's own, in its language.
  const why = self.navigator.onLine ? "silent" : "offline";
  const said = found(new RegExp(`id="saved-copy"[^>]* data-${why}="([^"]*)"`)) || "{time}";
  const text = html
    // What was done just before it was saved is not done again now.
    .replace(/(<div class="messages"[^>]*>)[\s\S]*?<\/div>/, "$1</div>")
    .replace(/(<p [^>]*id="saved-copy") hidden([^>]*)>/, `$1 data-time="${time}"$2>${said.replace("{time}", time)}`);
  return new Response(text, { headers: saved.headers });
}

/* ---- What pages ask -------------------------------------------------------------------- */
self.addEventListener("message", (event) => {
  const tell = (told) => event.ports[0].postMessage(told);
  const does = { keep: keepAll, list: listAll, empty: emptyAll }[event.data.ask];
  if (does) event.waitUntil(does(event.data, tell).catch(() => tell({ done: true, failed: true })));
});

/** Fetch and keep pages one after the other; tells of each. */
async function keepAll({ urls }, tell) {
  for (const url of urls.filter((each) => new URL(each).origin === self.location.origin)) {
    const turn = ++asked;
    let saved = "";
    try {
      saved = await keep(url, await fetch(url, { redirect: "manual" }), turn);
    } catch { /* no reception: the copy of before stays */ }
    tell({ url, saved });
  }
  tell({ done: true });
}

async function listAll(_, tell) {
  const pages = new Map();
  for (const whose of new Set([await whoIsIn(), NOBODY])) {
    if (!(await caches.has(PAGES + whose))) continue;
    const cache = await caches.open(PAGES + whose);
    for (const request of await cache.keys()) {
      const { headers } = await cache.match(request, { ignoreVary: true });
      const title = decodeURIComponent(headers.get(TITLE) || "");
      if (!pages.has(request.url)) pages.set(request.url, { title, saved: headers.get(SAVED) });
    }
  }
  tell({ done: true, pages: [...pages].map(([url, page]) => ({ url, ...page })) });
}

/** Drop every saved page, the public ones too; who is signed in stays known. */
async function emptyAll(_, tell) {
  for (const name of await caches.keys()) {
    if (name.startsWith(PAGES)) await caches.delete(name);
  }
  tell({ done: true });
}
