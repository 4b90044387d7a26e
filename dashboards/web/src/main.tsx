document.getElementById("page")!.textContent = "Today";
