/* Small conveniences. Every page works without this file. */
(() => {
  "use strict";

  // Buttons that only a script can serve are hidden in the page until there is one.
  for (const button of document.querySelectorAll("[data-print], [data-copy]")) {
    button.hidden = false;
  }
  document.addEventListener("click", async (event) => {
    const button = event.target.closest("[data-print], [data-copy]");
    if (!button) return;
    if (button.hasAttribute("data-print")) {
      window.print();
      return;
    }
    const said = button.textContent;
    try {
      await navigator.clipboard.writeText(button.dataset.copy);
      button.textContent = button.dataset.copied;
    } catch {
      button.textContent = button.dataset.notCopied;
    }
    setTimeout(() => { button.textContent = said; }, 3000);
  });

  // A form marked data-guard asks before its unsaved changes are left behind.
  let unsaved = false;
  document.addEventListener("input", (event) => {
    if (event.target.closest("form[data-guard]")) unsaved = true;
  });
  document.addEventListener("submit", (event) => {
    if (!event.target.closest("[data-elsewhere]")) unsaved = false;
  });
  window.addEventListener("beforeunload", (event) => {
    if (unsaved) event.preventDefault();
  });

  // Reception on a dock is poor: say when an answer did not arrive, and take it back later.
  const trouble = document.getElementById("trouble");
  const tell = (words) => { if (trouble) trouble.textContent = words; };
  // The page brings the sentences, in its own language.
  const { unreached, signedOut, unanswered } = trouble ? trouble.dataset : {};
  document.addEventListener("htmx:sendError", () => tell(unreached));
  document.addEventListener("htmx:responseError", (event) => tell(
    [401, 403].includes(event.detail.xhr.status) ? signedOut : unanswered
  ));

  // After a sign-in in another tab the page's own token is out of date: send the present one.
  document.addEventListener("htmx:configRequest", (event) => {
    const kept = document.cookie.match(/(?:^|; )csrftoken=([^;]+)/);
    if (!kept) return;
    event.detail.headers["X-CSRFToken"] = kept[1];
    if (event.detail.parameters.csrfmiddlewaretoken) {
      event.detail.parameters.csrfmiddlewaretoken = kept[1];
    }
  });
  document.addEventListener("htmx:afterOnLoad", (event) => {
    if (event.detail.xhr.status < 400) tell("");
  });
})();
