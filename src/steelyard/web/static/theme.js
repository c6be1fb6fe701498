// Light or dark as the person chose on the page.
const theme = localStorage.getItem("theme");
if (theme) document.documentElement.dataset.theme = theme;
document.documentElement.dataset.live = "yes";
