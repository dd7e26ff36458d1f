// The theme, remembered in a cookie so that the next page comes in it.

export function listen() {
  const select = document.getElementById("look");
  if (!select) return;
  select.addEventListener("change", () => {
    document.cookie = `steadypoint-look=${select.value};path=/;max-age=31536000;samesite=strict`;
    if (select.value === "auto") delete document.documentElement.dataset.theme;
    else document.documentElement.dataset.theme = select.value;
  });
}
