// Technician's pages: menu, sheet from below, running clock, photo preview.
(() => {
  const { one, all } = window.fitout;

  const menuButton = one("[data-act=phone-menu]");
  menuButton?.addEventListener("click", () => {
    const menu = one("#phone-menu");
    menu.hidden = !menu.hidden;
    menuButton.setAttribute("aria-expanded", String(!menu.hidden));
  });

  // data-opens="snag" shows #snag; data-act="close" inside hides it again.
  let opener = null;
  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-opens]");
    if (button) {
      const sheet = document.getElementById(button.dataset.opens);
      if (!sheet) return;
      event.preventDefault();
      opener = button;
      sheet.hidden = false;
      one("button, input:not([type=hidden]), select, textarea", sheet)?.focus();
      return;
    }
    if (event.target.closest(".from-below [data-act=close]")) closeSheet();
  });
  const closeSheet = () => {
    all(".from-below").forEach((sheet) => { sheet.hidden = true; });
    opener?.focus();
  };
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && one(".from-below:not([hidden])")) closeSheet();
  });

  // After a tick the page comes anew: back to the same place, the same box in hand.
  const TICKED = "ticked";
  document.addEventListener("submit", (event) => {
    if (!event.target.matches(".pick-list form, .wire-list form")) return;
    sessionStorage.setItem(TICKED, JSON.stringify([event.target.getAttribute("action"), scrollY]));
  });
  const [action, place] = JSON.parse(sessionStorage.getItem(TICKED) ?? "[]");
  sessionStorage.removeItem(TICKED);
  const ticked = action && all("form").find((form) => form.getAttribute("action") === action);
  if (ticked) {
    one("button", ticked)?.focus({ preventScroll: true });
    scrollTo(0, place);
  }

  // The clock counts on from the seconds the server gave.
  const started = performance.now();
  const show = () => all("[data-clock-s]").forEach((clock) => {
    const seconds = Number(clock.dataset.clockS) + Math.floor((performance.now() - started) / 1000);
    const minutes = Math.floor(seconds / 60);
    clock.textContent = `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`;
  });
  if (one("[data-clock-s]")) {
    show();
    setInterval(show, 5000);
  }

  // A photo chosen is named beside its button; the file goes with the form.
  document.addEventListener("change", (event) => {
    if (!event.target.matches("input[type=file]")) return;
    const label = event.target.closest("label, .field, form")?.querySelector("[data-file-name]");
    const names = [...event.target.files].map((file) => file.name).join(", ");
    if (label) label.textContent = names || label.dataset.fileName;
  });
})();
