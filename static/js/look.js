// Sets the stored look before the page is painted; loaded in the head without defer.
(() => {
  try {
    const look = localStorage.getItem("clubshop-look");
    if (look === "workshop" || look === "daylight") document.documentElement.dataset.look = look;
  } catch { /* storage refused: the phone's own setting holds */ }
})();
