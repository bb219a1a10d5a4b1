/* Pictures that were opened or closed stay so when the check brings new ones. Without this
   file they still open and close; on a wide screen they begin open with it. */
(() => {
  "use strict";
  const wanted = new Map();
  const apply = () => {
    for (const shown of document.querySelectorAll("details.shown[id]")) {
      const open = wanted.get(shown.id) ?? window.matchMedia("(min-width: 64rem)").matches;
      if (shown.open !== open) shown.open = open;
    }
  };
  document.addEventListener("click", (event) => {
    const summary = event.target.closest("details.shown[id] > summary");
    // The click has not changed it yet.
    if (summary) wanted.set(summary.parentElement.id, !summary.parentElement.open);
  });
  document.addEventListener("htmx:afterSwap", apply);
  document.addEventListener("DOMContentLoaded", apply);
})();
