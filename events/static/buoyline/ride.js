// Keeps what is typed on the page of a ride until the site has it, and sends it again when
// the connection is back. Without this script the page is a plain form.
(() => {
  let form;
  let shelf;
  let asRead;
  let sending = false;

  // The page brings the sentences, in its own language; without a name nothing is said.
  const say = (name) => {
    const status = document.getElementById("ride-status");
    status.textContent = name ? status.dataset[name] : "";
    status.hidden = !name;
  };
  const held = (each) => (each.type === "radio" ? each.checked : each.value);
  const fields = () => [...form.elements].filter((each) => each.name && each.type !== "hidden");
  const readOf = (name, part) => form.elements[`${name.replace(/-actual$/, "")}-${part}`];

  function keep() {
    const kept = {};
    for (const each of fields()) {
      if (each.type === "radio" && !each.checked) continue;
      if (asRead.get(each) === held(each)) continue;
      const [read, version] = ["read", "version"].map((part) => readOf(each.name, part).value);
      kept[each.name] = [each.value, read, version];
    }
    const any = Object.keys(kept).length > 0;
    try {
      if (any) localStorage.setItem(shelf, JSON.stringify(kept));
      else localStorage.removeItem(shelf);
    } catch { /* no room or not allowed: the page itself still holds it */ }
    say(any ? "unsaved" : "");
  }

  // What was kept is put back with the version it was read with, so that it cannot
  // overwrite what somebody else has saved since.
  function restore() {
    let kept = {};
    try { kept = JSON.parse(localStorage.getItem(shelf)) || {}; } catch { /* nothing kept */ }
    for (const [name, [value, read, version]] of Object.entries(kept)) {
      if (!form.elements[name]) continue;
      form.elements[name].value = value;
      readOf(name, "read").value = read;
      readOf(name, "version").value = version;
    }
    if (Object.keys(kept).length) say("restored");
  }

  async function send() {
    if (sending) return;
    sending = true;
    const focused = document.activeElement?.id;
    const body = new FormData(form);
    form.inert = true;
    say("saving");
    try {
      if (!navigator.onLine) throw new Error("no connection");
      const answer = await fetch(location.href, { method: "POST", body });
      if (!answer.ok) throw new Error(String(answer.status));
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      if (!page.getElementById("ride-form")) throw new Error("another page");
      localStorage.removeItem(shelf);
      document.querySelector("main").replaceWith(page.querySelector("main"));
      document.title = page.title;
      bind();
      const wrong = document.getElementById("faults");
      (wrong || document.getElementById(focused) || document.querySelector("main")).focus();
    } catch {
      form.inert = false;
      say("refused");
    } finally {
      sending = false;
    }
  }

  function nextMark(event) {
    if (event.key !== "Enter" || !event.target.classList.contains("ride-mark")) return;
    const marks = [...form.querySelectorAll(".ride-mark")];
    const next = marks[marks.indexOf(event.target) + 1];
    if (!next) return;
    event.preventDefault();
    next.focus();
    next.select();
  }

  // A press on an outcome, or Enter on one, goes on to the next trick. Arrow keys send
  // clicks too, without a pointer (detail 0): those stay.
  function nextTrick(event) {
    const isOutcome = event.target.type === "radio";
    if (!isOutcome || (event.type === "click" ? !event.detail : event.key !== "Enter")) return;
    const tricks = [...form.querySelectorAll(".ride-outcomes")];
    const next = tricks[tricks.indexOf(event.target.closest(".ride-outcomes")) + 1];
    if (event.type === "keydown") event.preventDefault();
    (next?.querySelector("input:checked") || form.querySelector(".ride-mark"))?.focus();
  }

  function bind() {
    form = document.getElementById("ride-form");
    shelf = form.dataset.kept;
    asRead = new Map(fields().map((each) => [each, held(each)]));
    form.addEventListener("input", keep);
    form.addEventListener("keydown", nextMark);
    form.addEventListener("keydown", nextTrick);
    form.addEventListener("click", nextTrick);
    form.addEventListener("submit", (event) => { event.preventDefault(); keep(); send(); });
  }

  if (!document.getElementById("ride-form")) return;
  bind();
  restore();
  window.addEventListener("online", () => { if (localStorage.getItem(shelf)) send(); });
})();
