/* Hides what is asked of a guardian once the date of birth says that the rider is of age on the
   first day. Without this file everything stays in sight, and the site decides in either case. */
(() => {
  "use strict";
  const { ofAge } = document.currentScript.dataset;
  const form = document.querySelector("form[data-adult-age]");
  const born = form?.elements.namedItem("born_on");
  if (!born) return;
  const names = ["guardian", "guardian_phone", "consented", "is_named"];
  const parts = names.map((name) => document.getElementById(`div_id_${name}`)).filter(Boolean);
  const said = document.createElement("p");
  said.className = "help";
  said.setAttribute("role", "status");
  document.getElementById("div_id_born_on").append(said);

  // Completed years as the site counts them: born on 29 February, a year is full on 1 March.
  function age(on, day) {
    const [year, ...rest] = on.split("-");
    const [now, ...then] = day.split("-");
    return now - year - (then.join("-") < rest.join("-") ? 1 : 0);
  }
  const isEmpty = (part) => [...part.querySelectorAll("input")].every(
    (each) => (each.type === "checkbox" ? !each.checked : !each.value.trim()));

  function show() {
    const { adultAge, firstDay } = form.dataset;
    const isDay = /^\d{4}-\d\d-\d\d$/.test(born.value);
    const isAdult = isDay && age(born.value, firstDay) >= Number(adultAge);
    // What is filled in or wrong stays in sight: nothing is sent that nobody sees.
    const hide = isAdult && parts.every(
      (part) => isEmpty(part) && !part.classList.contains("has-error"));
    for (const part of parts) part.hidden = hide;
    said.textContent = hide ? ofAge : "";
    said.hidden = !hide;
  }
  form.addEventListener("change", show);
  show();
})();
