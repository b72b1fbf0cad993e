// While the job file is edited: reloads when the job was made again, and shows the fault when it was not.
// The server puts in the number of the page it sends.
const events = new EventSource("/told?since=" + /*number*/0);
events.addEventListener("made", () => location.reload());
events.addEventListener("fault", (event) => {
  let fault = $("#fault");
  if (!fault) {
    fault = document.createElement("pre");
    fault.id = "fault";
    fault.setAttribute("role", "alert");
    document.body.prepend(fault);
  }
  fault.textContent = JSON.parse(event.data);
});
