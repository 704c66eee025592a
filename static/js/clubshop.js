// Small helps for htmx pages: focus and spoken notices after a swap, lost signal, and the look switch.
// Every page works without this file.
(() => {
  const notice = () => document.getElementById("notice");

  // What went well stands on the page already and is only spoken; what went wrong is shown.
  function say(words, isError = false) {
    const place = notice();
    if (!place) return;
    place.classList.toggle("error", isError);
    place.classList.toggle("visually-hidden", !isError);
    place.textContent = words;
  }

  function focusOn(place) {
    if (!place.matches("a[href], button, input, select, textarea, summary, [tabindex]")) place.tabIndex = -1;
    place.focus({ preventScroll: true });
    const { top } = place.getBoundingClientRect();
    if (top < 0 || top > innerHeight / 2) (place.closest(".sheet-now") ?? place).scrollIntoView();
  }

  document.addEventListener("htmx:beforeRequest", () => say(""));

  document.addEventListener("htmx:afterSettle", (event) => {
    const fresh = event.detail.elt;
    const within = (selector) => (fresh.matches(selector) ? fresh : fresh.querySelector(selector));
    const place = within("[data-focus]");
    if (place) focusOn(place);
    const spoken = within("[data-announce]");
    if (spoken) say(spoken.dataset.announce);
  });

  for (const lost of ["htmx:sendError", "htmx:timeout"]) {
    document.addEventListener(lost, () => say("Not saved: no signal. What you wrote is still here; try again.", true));
  }
  document.addEventListener("htmx:responseError", (event) => {
    say(`Not saved: the club's computer answered ${event.detail.xhr.status}. What you wrote is still here.`, true);
  });

  function showLook(box, look) {
    for (const button of box.querySelectorAll("button")) button.setAttribute("aria-pressed", String(button.value === look));
  }

  function chooseLook(look) {
    const page = document.documentElement;
    if (look === "auto") delete page.dataset.look;
    else page.dataset.look = look;
    try {
      if (look === "auto") localStorage.removeItem("clubshop-look");
      else localStorage.setItem("clubshop-look", look);
    } catch { /* storage refused: the choice lasts for this page */ }
  }

  function start() {
    const summary = document.querySelector(".error-summary");
    if (summary) focusOn(summary);
    for (const button of document.querySelectorAll("[data-print]")) {
      button.hidden = false;
      button.addEventListener("click", () => window.print());
    }
    for (const box of document.querySelectorAll("[data-look-switch]")) {
      box.hidden = false;
      showLook(box, document.documentElement.dataset.look || "auto");
      box.addEventListener("click", (event) => {
        const button = event.target.closest("button");
        if (!button) return;
        chooseLook(button.value);
        showLook(box, button.value);
      });
    }
  }

  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", start);
  else start();
})();
