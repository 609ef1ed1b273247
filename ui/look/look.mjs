// Pictures of every screen over the invented operation, in each look, and an accessibility check of
// each: `npm run look [-- name…]`. Rigs in look/rigs (`cargo run -p service --example look_rigs -- ui/look/rigs`)
// are looked at too, whole and with a rope lost, at three window sizes, by day and by night: `npm run look rigs-…`. Needs Debian's chromium. Pictures go to look/out.
import { existsSync, mkdirSync, readdirSync, readFileSync } from 'node:fs'
import AxeBuilder from '@axe-core/playwright'
import { chromium } from 'playwright-core'
import { build, preview } from 'vite'
import { SHOTS, rigShots } from './shots.mjs'

const wanted = process.argv.slice(2)
const out = new URL('./out/', import.meta.url).pathname
mkdirSync(out, { recursive: true })

await build({ mode: 'mock', logLevel: 'warn' })
// As strict as the program's own window.
const policy =
  "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'"
const server = await preview({
  mode: 'mock',
  preview: {
    headers: { 'Content-Security-Policy': policy },
    port: 4190 + Math.floor(Math.random() * 500),
    host: '127.0.0.1',
    strictPort: false,
  },
  build: { outDir: 'dist-mock' },
  logLevel: 'warn',
})
const base = server.resolvedUrls.local[0]
const browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] })
let faults = 0
const fault = (words) => {
  faults += 1
  console.error(words)
}

const rigs = new URL('./rigs/', import.meta.url).pathname
const made = existsSync(rigs) ? readdirSync(rigs).filter((file) => file.endsWith('.json')) : []

for (const shot of [...SHOTS, ...made.flatMap((file) => rigShots(file.replace('.json', '')))]) {
  const { name, query = '', size = [1280, 800], before, rig } = shot
  if (wanted.length > 0 && !wanted.some((word) => name.startsWith(word))) continue
  const context = await browser.newContext({ viewport: { width: size[0], height: size[1] } })
  const page = await context.newPage()
  page.on('pageerror', (error) => fault(`${name}: ${error.message}`))
  page.on('console', (message) => message.type() === 'error' && fault(`${name}: ${message.text()}`))
  await page.addInitScript(() => Object.freeze(Object.prototype))
  if (rig) await page.addInitScript((it) => (window.ledgebookLookRig = it), JSON.parse(readFileSync(`${rigs}${rig}.json`, 'utf8')))
  await page.goto(`${base}mock.html?mock&${query}`)
  await page.evaluate(() => document.fonts.ready)
  await page.waitForTimeout(300)
  page.setDefaultTimeout(8000)
  try {
    await before?.(page)
  } catch (error) {
    fault(`${name}: ${String(error.message).split('\n')[0]}`)
  }
  await page.waitForTimeout(150)
  await page.screenshot({ path: `${out}${name}.png` })
  const { violations } = await new AxeBuilder({ page }).analyze()
  for (const one of violations) {
    fault(`${name}: ${one.id}: ${one.nodes.map((node) => node.target.join(' ')).join(', ')}`)
  }
  for (const words of await page.evaluate(tooSmall)) fault(`${name}: ${words}`)
  for (const words of await page.evaluate(outside)) fault(`${name}: ${words}`)
  await context.close()
}
await browser.close()
server.httpServer.close()
console.log(`${faults} faults`)
process.exit(faults > 0 ? 1 : 0)

/** What stands beyond the page, and a page that scrolls as a whole. Runs in the page. */
function outside() {
  const page = document.documentElement
  const found = []
  if (page.scrollWidth > innerWidth || page.scrollHeight > innerHeight) found.push(`the page is ${page.scrollWidth}×${page.scrollHeight}`)
  for (const element of document.querySelectorAll('header, main, aside, nav, section, button, input')) {
    const box = element.getBoundingClientRect()
    const scrolls = element.parentElement?.closest('[class*=side], [class*=panel], .rows, .facts, aside')
    if (box.width > 1 && box.right > innerWidth + 1 && !scrolls) found.push(`beyond the right: ${(element.getAttribute('aria-label') ?? element.textContent ?? '').trim().slice(0, 30)}`)
  }
  return found
}

/** Text under 16 px, and what can be pressed and is under 48 px. Runs in the page. */
function tooSmall() {
  const found = []
  const shown = (box) => box.width > 1 && box.height > 1
  const name = (element) => (element.getAttribute('aria-label') ?? element.textContent ?? '').trim().slice(0, 30)
  for (const element of document.querySelectorAll('button, input, select, [role=button]')) {
    const box = element.getBoundingClientRect()
    if (element.closest('svg') || element.type === 'radio' || !shown(box)) continue
    if (box.height < 47.5 || box.width < 47.5) found.push(`target ${Math.round(box.width)}×${Math.round(box.height)}: ${name(element)}`)
  }
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT)
  while (walker.nextNode()) {
    const parent = walker.currentNode.parentElement
    if (!walker.currentNode.textContent.trim() || !parent || parent.closest('svg, script, style')) continue
    const size = parseFloat(getComputedStyle(parent).fontSize)
    if (size < 16) found.push(`text ${size} px: ${walker.currentNode.textContent.trim()}`)
  }
  return found
}
