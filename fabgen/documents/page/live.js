// While the job file is being worked on: shows itself anew when it was made again, and what is wrong when it was not.
// The server puts in the number of the page it sends.
const told = new EventSource("/told?since=" + /*number*/0);
told.addEventListener("made", () => location.reload());
told.addEventListener("fault", (event) => {
  let fault = $("#fault");
  if (!fault) {
    fault = document.createElement("pre");
    fault.id = "fault";
    fault.setAttribute("role", "alert");
    document.body.prepend(fault);
  }
  fault.textContent = JSON.parse(event.data);
});
