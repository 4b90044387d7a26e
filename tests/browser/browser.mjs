// Chromium as installed on this machine, with a fresh profile, asking nobody else for anything.
import { chromium } from "playwright-core";

export const FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];

/** Starts Chromium: `CHROMIUM` names another one than the system's. */
export function startChromium() {
  return chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", headless: true, args: FLAGS });
}
