// Pictures of every screen over the invented operation, in each look: `npm run look [-- name…]`.
// Needs Debian's chromium. Pictures go to look/out.
import { mkdirSync } from 'node:fs'
import { chromium } from 'playwright-core'
import { build, preview } from 'vite'

const wanted = process.argv.slice(2)
const out = new URL('./out/', import.meta.url).pathname
mkdirSync(out, { recursive: true })

/** name, query, what to do before the picture. */
export const SHOTS = [
  ['calls', ''],
  ['calls-night', 'look=night'],
  ['calls-sun', 'look=sun'],
  ['calls-stop', 'until=1515'],
  ['size-up', '', (page) => page.keyboard.press('Control+1')],
  ['team', '', (page) => page.keyboard.press('Control+2')],
  ['rig', '', (page) => page.keyboard.press('Control+3')],
  ['review', '', (page) => page.keyboard.press('Control+5')],
  ['keys', '', (page) => page.keyboard.press('F1')],
  ['start', 'start'],
]

await build({ mode: 'mock', logLevel: 'warn' })
const server = await preview({ mode: 'mock', preview: { port: 4190 + Math.floor(Math.random() * 500), host: '127.0.0.1', strictPort: false }, build: { outDir: 'dist-mock' }, logLevel: 'warn' })
const base = server.resolvedUrls.local[0]
const browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] })
let faults = 0
for (const [name, query, before] of SHOTS) {
  if (wanted.length > 0 && !wanted.includes(name)) continue
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 } })
  const page = await context.newPage()
  page.on('pageerror', (error) => {
    faults += 1
    console.error(`${name}: ${error.message}`)
  })
  page.on('console', (message) => {
    if (message.type() === 'error') console.error(`${name}: ${message.text()}`)
  })
  await page.goto(`${base}mock.html?mock&${query}`)
  await page.evaluate(() => document.fonts.ready)
  await page.waitForTimeout(300)
  await before?.(page)
  await page.waitForTimeout(150)
  await page.screenshot({ path: `${out}${name}.png` })
  await context.close()
}
await browser.close()
server.httpServer.close()
process.exit(faults > 0 ? 1 : 0)
