// Shared by every page. Everything works without it but what says otherwise.
"use strict";
document.documentElement.classList.add("js");
