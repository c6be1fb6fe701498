// The code behind the # of the address, as the QR code holds it: typed for the person, and forgotten.
const code = decodeURIComponent(location.hash.slice(1));
history.replaceState(null, "", "/enter");
if (code) {
  document.querySelector("[name=code]").value = code;
  document.querySelector("form").submit();
}
