// Runs before the first paint: day or night as last chosen on this device.
(() => {
  const root = document.documentElement;
  root.classList.add("js");
  try {
    const light = localStorage.getItem("light");
    if (light === "night") root.dataset.light = "night";
  } catch {
    // Storage may be closed to us; day is fine.
  }
})();
