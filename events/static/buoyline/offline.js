/* Pages kept on this device. Every page works without this file, and without a worker. */
(() => {
  "use strict";
  const { worker } = document.currentScript.dataset;
  const workers = navigator.serviceWorker;
  // The page brings the sentences, in its own language, with {names} for what goes in.
  const told = (words, values) => words.replace(/\{(\w+)\}/g, (_, name) => values[name]);

  // Without reception a form would lead to the browser's own error page. A browser that takes
  // itself for offline may still reach a site on the same computer, so that is tried first.
  let reached = false;
  document.addEventListener("submit", async (event) => {
    const { target, submitter } = event;
    if (reached || navigator.onLine || target.getAttribute("method") !== "post") return;
    event.preventDefault();
    event.stopImmediatePropagation();
    try {
      await fetch(worker, { method: "HEAD", cache: "no-store" });
      reached = true;
      target.requestSubmit(submitter);
    } catch {
      const trouble = document.getElementById("trouble");
      if (trouble) trouble.textContent = trouble.dataset.offline;
    }
    reached = false;
  }, true);
  window.addEventListener("online", () => {
    const trouble = document.getElementById("trouble");
    if (trouble && trouble.textContent === trouble.dataset.offline) trouble.textContent = "";
    const saved = document.getElementById("saved-copy");
    if (saved && !saved.hidden) saved.textContent = told(saved.dataset.again, saved.dataset);
  });

  if (!workers) return;
  const isFirst = !workers.controller;
  workers.register(worker).catch(() => {}); // refused by the browser: all is as without

  /** Ask the worker; `hear` gets each word of its answer until it is done. */
  const ask = async (question, hear) => {
    const { active } = await workers.ready;
    const { port1, port2 } = new MessageChannel();
    return new Promise((done) => {
      port1.onmessage = ({ data }) => {
        if (hear && !data.done) hear(data);
        if (data.done) done(data);
      };
      active.postMessage(question, [port2]);
    });
  };
  const timeOf = (saved) => {
    const at = new Date(saved), today = at.toDateString() === new Date().toDateString();
    const { lang } = document.documentElement;
    const time = at.toLocaleTimeString(lang, { hour: "2-digit", minute: "2-digit" });
    return today ? time : `${at.toLocaleDateString(lang, { day: "numeric", month: "long" })}, ${time}`;
  };

  // The page that brought the worker was loaded before it: have it kept as well.
  if (isFirst) ask({ ask: "keep", urls: [location.href.split("#")[0]] });

  // ---- What is kept: a list of all of it, and a word behind each page that could be --------
  const list = document.querySelector("[data-kept-list]");
  const wanted = [...document.querySelectorAll("a[data-keep]")];
  const said = document.querySelector("[data-keep-said]");

  const mark = (url, saved) => {
    for (const link of wanted.filter((each) => each.href === url)) {
      link.parentElement.querySelector("[data-keep-time]").textContent =
        saved ? told(said.dataset.kept, { time: timeOf(saved) }) : said.dataset.notKept;
    }
  };
  const fill = (pages) => {
    list.hidden = pages.length === 0;
    list.querySelector("ul").replaceChildren(...pages.map(({ url, title, saved }) => {
      const item = document.createElement("li"), link = document.createElement("a");
      const address = new URL(url), round = address.searchParams.get("round");
      link.href = url;
      link.textContent = round && !address.pathname.includes(".") ? `${title}, ${round}` : title;
      item.append(link, ` (${timeOf(saved)})`);
      return item;
    }));
  };
  const show = async () => {
    const { pages = [] } = await ask({ ask: "list" });
    for (const { href } of wanted) mark(href, pages.find(({ url }) => url === href)?.saved);
    const others = pages.filter(({ url }) => !wanted.some(({ href }) => href === url));
    if (list) fill(others.sort((one, other) => one.title.localeCompare(other.title)));
  };
  if (list || wanted.length) show();

  for (const each of document.querySelectorAll("[data-with-worker]")) each.hidden = false;
  for (const each of document.querySelectorAll("[data-without-worker]")) each.hidden = true;
  for (const button of document.querySelectorAll("[data-keep-all], [data-keep-none]")) {
    button.addEventListener("click", async () => {
      button.disabled = true;
      const also = button.dataset.keepAll;
      await (also ? keepAll(also) : keepNone());
      button.disabled = false;
      await show();
    });
  }
  const keepAll = async (also) => {
    let done = 0, missed = 0;
    const here = location.href.split("#")[0], more = new URL(also, here).href;
    const urls = [...new Set([here, more, ...wanted.map(({ href }) => href)])];
    await ask({ ask: "keep", urls }, ({ url, saved }) => {
      done += 1;
      if (!saved) missed += 1;
      if (saved) mark(url, saved);
      said.textContent = told(said.dataset.some, { done, number: urls.length });
    });
    const { missed: some, all } = said.dataset;
    said.textContent = told(missed ? some : all, { missed, number: urls.length });
  };
  const keepNone = async () => {
    await ask({ ask: "empty" });
    said.textContent = said.dataset.none;
  };
})();
