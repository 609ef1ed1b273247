/** What is looked at: name, query of the mock, window size, and what is done before the picture. */
const press = (...keys) => async (page) => {
  for (const key of keys) await page.keyboard.press(key)
}
const type = (words) => (page) => page.keyboard.type(words)

export const SHOTS = [
  { name: 'calls', before: type('e rdy') },
  { name: 'calls-night', query: 'look=night', before: type('e rdy') },
  { name: 'calls-sun', query: 'look=sun', before: type('e rdy') },
  { name: 'calls-stop', query: 'until=1515' },
  { name: 'calls-stop-night', query: 'until=1515&look=night' },
  { name: 'calls-stop-pressed', before: press('Escape') },
  { name: 'calls-others', before: (page) => page.getByTestId('tab-others').click() },
  { name: 'calls-back', before: press('PageUp', 'PageUp') },
  ...[['', [1280, 800]], ['-narrow', [1024, 768]], ['-wide', [1920, 1080]]].flatMap(([wide, size]) => [
    { name: `calls-part-ask${wide}`, size, before: press('Control+f') },
    { name: `calls-part${wide}`, size, query: wide === '-narrow' ? 'look=night' : '', before: async (page) => {
      await press('Control+f')(page)
      await page.locator('[data-testid=part-who]').filter({ hasText: 'Nina Vogel' }).click()
      await page.getByTestId('part-done').click()
    } },
  ]),
  { name: 'calls-part-sun', query: 'look=sun', before: async (page) => {
    await press('Control+f')(page)
    await page.getByTestId('part-kind-orders').click()
  } },
  { name: 'calls-walk', before: press('ArrowUp', 'ArrowUp', 'ArrowUp', 'ArrowUp') },
  { name: 'calls-correct', before: press('ArrowUp', 'ArrowUp', 'ArrowUp', 'Enter') },
  { name: 'calls-trouble', query: 'trouble', before: press('F4') },
  { name: 'calls-refused', query: 'refuse', before: press('e', 'Enter') },
  { name: 'calls-narrow', size: [1024, 768] },
  { name: 'calls-wide', size: [1920, 1080], before: type('2 set') },
  { name: 'calls-empty', query: 'until=0' },
  { name: 'calls-nobody', query: 'nobody' },
  { name: 'calls-rope-short', query: 'rope=short' },
  { name: 'calls-rope-short-sun', query: 'rope=short&look=sun', size: [1024, 768] },
  { name: 'calls-rope-short-night', query: 'rope=short&phase&look=night', size: [1920, 1080] },
  { name: 'calls-rope-unsaid', query: 'rope=unsaid&phase' },
  { name: 'calls-nobody-narrow', query: 'nobody&look=night', size: [1024, 768] },
  ...[['', [1280, 800]], ['-narrow', [1024, 768]], ['-wide', [1920, 1080]]].flatMap(([wide, size]) => ['', '-night'].map((look) => ({
    name: `watch-still${wide}${look}`,
    query: `watch=motionless_in_harness&watch=on_rope_long&watch=not_heard${look ? '&look=night' : ''}`,
    size,
  }))),
  { name: 'watch-lost', query: 'watch=lost_communications&watch=not_heard' },
  { name: 'watch-lost-narrow', query: 'watch=lost_communications&look=night', size: [1024, 768] },
  { name: 'watch-still-why', query: 'watch=motionless_in_harness', size: [1024, 768], before: (page) => page.getByTestId('watch-why').click() },
  { name: 'watch-long-team', query: 'watch=on_rope_long', before: press('Control+2') },
  { name: 'watch-still-size-up', query: 'watch=motionless_in_harness&look=night', size: [1024, 768], before: press('Control+1') },
  { name: 'calls-second-rig', query: 'second' },
  { name: 'rig-second', query: 'second&look=night', size: [1024, 768], before: press('Control+3') },
  { name: 'calls-no-time', before: type('3:99 rope rubs') },
  { name: 'calls-leaving', query: 'trouble', before: async (page) => {
    await press('F4', 'F5')(page)
    await page.waitForTimeout(200)
    await page.evaluate(() => window.dispatchEvent(new Event('ledgebook-close')))
  } },
  { name: 'size-up', before: press('Control+1') },
  { name: 'size-up-night', query: 'look=night', before: press('Control+1') },
  { name: 'brief', before: press('Control+1', 'b') },
  { name: 'brief-narrow', query: 'look=night', size: [1024, 768], before: press('Control+1', 'b') },
  { name: 'brief-wide', size: [1920, 1080], before: press('Control+1', 'b') },
  { name: 'team', before: press('Control+2') },
  { name: 'team-night', query: 'look=night', before: press('Control+2') },
  { name: 'team-sun', query: 'look=sun', before: press('Control+2') },
  { name: 'team-narrow', size: [1024, 768], before: press('Control+2') },
  ...['i', 'a', 'o', 'h', 'e', 'p'].map((key) => ({ name: `team-form-${key}`, before: press('Control+2', 'ArrowDown', key) })),
  { name: 'rig', before: press('Control+3') },
  { name: 'rig-night', query: 'look=night', before: press('Control+3') },
  { name: 'rig-sun', query: 'look=sun', before: press('Control+3') },
  { name: 'rig-lost', before: async (page) => {
    await press('Control+3')(page)
    await page.locator('[data-part=rope_one] .hit').click()
    await press('x')(page)
  } },
  { name: 'rig-how', before: press('Control+3', 'ArrowDown', 'h') },
  { name: 'rig-values', before: press('Control+3', 'v') },
  { name: 'rig-edit', before: press('Control+3', 'e') },
  { name: 'rig-edit-night', query: 'look=night', before: press('Control+3', 'e') },
  { name: 'rig-edit-sun', query: 'look=sun', before: press('Control+3', 'e') },
  { name: 'rig-add', before: press('Control+3', 'a') },
  { name: 'rig-add-narrow', size: [1024, 768], before: press('Control+3', 'a') },
  ...['', '-night', '-sun', '-narrow'].map((look) => ({
    name: `rig-draft${look}`,
    query: look === '-night' ? 'look=night' : look === '-sun' ? 'look=sun' : '',
    size: look === '-narrow' ? [1024, 768] : [1280, 800],
    before: async (page) => {
      await press('Control+3', 'e')(page)
      await page.getByTestId('part-rating').fill('30kN')
      await press('Enter')(page)
      await page.getByTestId('rig-draft').waitFor()
      await press('ArrowDown', 'Delete')(page)
    },
  })),
  ...['', '-night', '-sun'].map((look) => ({
    name: `rig-figures${look}`,
    query: look === '-night' ? 'look=night' : look === '-sun' ? 'look=sun' : '',
    before: async (page) => {
      await press('Control+3', 'w')(page)
      await page.getByTestId('figure-load').fill('2kN')
      await page.getByTestId('figure-angle').fill('90deg')
      await page.waitForTimeout(500)
    },
  })),
  { name: 'rig-templates', query: 'until=300', before: press('Control+3') },
  { name: 'rig-templates-found', query: 'until=300', before: async (page) => {
    await press('Control+3')(page)
    await type('raise')(page)
  } },
  { name: 'rig-templates-narrow', size: [1024, 768], query: 'until=300&look=night', before: press('Control+3', 'PageDown') },
  { name: 'rig-sign', before: press('Control+3', 's') },
  { name: 'rig-empty', query: 'until=300', before: press('Control+3') },
  // Forms and states that no other picture has.
  { name: 'rig-form', query: 'until=300', before: async (page) => {
    await press('Control+3')(page)
    await page.locator('[data-testid^=template-]').first().click()
  } },
  { name: 'rig-form-wrong', query: 'until=300&look=night', before: async (page) => {
    await press('Control+3')(page)
    await page.locator('[data-testid^=template-]').first().click()
    await page.getByTestId('param-load').fill('heavy')
    await page.waitForTimeout(600)
  } },
  { name: 'rig-freeze', before: async (page) => {
    await press('Control+3')(page)
    await page.locator('[data-testid=rig-drawing]').focus().catch(() => {})
    await press('End', 'x')(page)
  } },
  { name: 'rig-holds', before: async (page) => {
    await press('Control+3')(page)
    await page.getByTestId('rig-holds-more').click().catch(() => {})
  } },
  { name: 'rig-accept', before: async (page) => {
    await press('Control+3')(page)
    await page.locator('[data-testid=rig-finding][data-standing=falls_short] > button').first().click()
    await page.getByRole('button', { name: 'accept, by name' }).click()
  } },
  { name: 'team-fill', before: async (page) => {
    await press('Control+2')(page)
    await page.locator('[data-testid=team-row][data-role]').first().click()
    await page.getByTestId('team-assign').last().click()
  } },
  { name: 'team-fill-night', query: 'look=night', before: async (page) => {
    await press('Control+2')(page)
    await page.locator('[data-testid=team-row][data-role]').first().click()
  } },
  { name: 'team-pick-more', before: async (page) => {
    await press('Control+2', 'i')(page)
    await page.getByTestId('in-role').click()
    await page.getByTestId('in-role-more').click()
  } },
  { name: 'calls-closed', before: async (page) => {
    await press('Control+5', 'c')(page)
    await page.getByTestId('review-close-confirm').click()
    await press('Control+4')(page)
  } },
  { name: 'review-closed', query: 'look=sun', before: async (page) => {
    await press('Control+5', 'c')(page)
    await page.getByTestId('review-close-confirm').click()
    await press('Control+p')(page)
    await page.waitForTimeout(300)
  } },
  { name: 'review-entries', before: async (page) => {
    await press('Control+5', 'ArrowDown', 'Enter')(page)
    await page.waitForTimeout(300)
  } },
  { name: 'records', query: 'start', before: async (page) => {
    await page.getByTestId('to-records').click()
    await page.getByTestId('records-find').fill('roller')
    await page.keyboard.press('Enter')
  } },
  { name: 'records-night', size: [1024, 768], query: 'start&look=night', before: (page) => page.getByTestId('to-records').click() },
  { name: 'start-stop', query: 'start', before: press('Escape') },
  { name: 'keys-narrow', size: [1024, 768], query: 'look=night', before: press('F1') },
  { name: 'brief-sun', query: 'look=sun', before: press('Control+1', 'b') },
  { name: 'erase-night', query: 'look=night', before: async (page) => {
    await page.getByTestId('correct').click()
    await page.getByTestId('ask-erase').click()
  } },
  { name: 'calls-others-sun', query: 'look=sun', before: (page) => page.getByTestId('tab-others').click() },
  { name: 'calls-others-narrow', size: [1024, 768], query: 'look=night', before: async (page) => {
    await page.getByRole('button', { name: 'Keys', exact: true }).click().catch(() => {})
    await page.getByTestId('tab-others').click()
  } },
  { name: 'doctor-sun', query: 'look=sun&clock', before: press('Control+d') },
  { name: 'review', before: press('Control+5') },
  { name: 'review-set-aside', before: async (page) => {
    await press('Control+5', 'ArrowDown', 'Enter', 'x')(page)
    await page.waitForTimeout(200)
  } },
  { name: 'review-add-sun', query: 'look=sun', before: press('Control+5', 'ArrowDown', 'Enter', 'n') },
  { name: 'review-lesson', before: press('Control+5', 'l') },
  { name: 'review-written-narrow', size: [1024, 768], before: press('Control+5', 'u', 'Control+p') },
  { name: 'review-lesson-night-narrow', size: [1024, 768], query: 'look=night', before: async (page) => {
    await press('Control+5', 'l')(page)
    await page.getByTestId('lesson-text').fill('a spare roller on each edge, and someone who minds it')
    await page.getByTestId('lesson-person').fill('Nina Vogel')
    await page.getByTestId('lesson-who').fill('whoever keeps the ropes')
    await page.getByTestId('lesson-when').fill('the next drill')
    await page.getByTestId('form-lesson').locator('button[type=submit]').click()
    await page.getByTestId('review-lessons').scrollIntoViewIfNeeded()
  } },
  { name: 'review-replay', before: async (page) => {
    await press('Control+5', 'f')(page)
    await page.waitForTimeout(300)
  } },
  { name: 'review-replay-night', query: 'look=night', before: async (page) => {
    await press('Control+5', 'Space')(page)
    await page.waitForTimeout(1500)
    await press('Space')(page)
  } },
  { name: 'review-compare', size: [1440, 1000], before: async (page) => {
    await press('Control+5')(page)
    await page.getByTestId('review-compare').scrollIntoViewIfNeeded()
  } },
  { name: 'review-tables', before: async (page) => {
    await press('Control+5')(page)
    await page.getByTestId('review-table').first().locator('summary').click()
  } },
  { name: 'review-tables-us', before: async (page) => {
    await press('Control+5', 'u')(page)
    await page.getByTestId('review-table').first().locator('summary').click()
  } },
  { name: 'review-night', query: 'look=night', before: press('Control+5') },
  { name: 'review-close', before: press('Control+5', 'c') },
  { name: 'review-narrow', size: [1024, 768], before: press('Control+5') },
  { name: 'stop-on-size-up', before: press('Control+1', 'Escape') },
  { name: 'reading-along', query: 'reading=a+Ledgebook+window+since+2026-05-14+13:02:10,+process+4711' },
  { name: 'reading-offer', query: 'reading=&look=night' },
  { name: 'erase', before: async (page) => {
    await page.getByTestId('correct').click()
    await page.getByTestId('ask-erase').click()
  } },
  { name: 'erase-sure', before: async (page) => {
    await page.getByTestId('correct').click()
    await page.getByTestId('ask-erase').click()
    await page.getByTestId('erase-person').fill('Odile Marn')
    await page.getByTestId('erase-reason').fill('asked for by the patient')
    await page.getByTestId('erase-record').click()
  } },
  { name: 'doctor', query: 'clock', before: press('Control+d') },
  { name: 'doctor-start', query: 'start&look=night', before: press('Control+d') },
  { name: 'mirror-kept', query: 'mirror=kept', before: press('Control+d') },
  { name: 'mirror-behind', query: 'mirror=behind' },
  { name: 'mirror-behind-narrow', query: 'mirror=behind', size: [1024, 768], before: press('Control+d') },
  { name: 'across-restart', query: 'clock' },
  { name: 'keys', before: press('F1') },
  // The commander's window: on a large display, in a window of its own, in each look, and in what it has to say.
  ...[['', [1280, 800]], ['-wide', [1920, 1080]], ['-small', [960, 540]]].flatMap(([wide, size]) => [
    { name: `commander${wide}`, query: 'commander', size },
    { name: `commander-stop${wide}`, query: 'commander&until=1515', size },
  ]),
  ...['night', 'sun'].flatMap((look) => [
    { name: `commander-${look}`, query: `commander&look=${look}`, size: [1920, 1080] },
    { name: `commander-stop-${look}`, query: `commander&until=1515&look=${look}`, size: [1920, 1080] },
  ]),
  { name: 'commander-watch', query: 'commander&watch=motionless_in_harness&watch=not_heard&watch=on_rope_long', size: [1920, 1080] },
  { name: 'commander-flags', query: 'commander&flags&nobody', size: [1920, 1080] },
  { name: 'commander-load-test', query: 'commander&until=1100', size: [1920, 1080] },
  { name: 'commander-early', query: 'commander&until=100', size: [1920, 1080] },
  { name: 'commander-rope-short', query: 'commander&rope=short', size: [1920, 1080] },
  { name: 'commander-rope-unsaid', query: 'commander&rope=unsaid&phase&look=night', size: [1920, 1080] },
  { name: 'commander-rope-short-small', query: 'commander&rope=short&look=sun', size: [1280, 800] },
  { name: 'commander-none', query: 'commander&start', size: [1920, 1080] },
  { name: 'commander-silent', query: 'commander', size: [1920, 1080], before: async (page) => {
    await page.evaluate(() => (window.mockBridge.invoke = () => new Promise(() => {})))
    await page.waitForTimeout(5000)
  } },
  { name: 'commander-scribe-silent', query: 'commander&silent', size: [1920, 1080] },
  // Names in any script, pictures, no end, what a terminal or a page would obey.
  ...[['', [1280, 800]], ['-narrow', [1024, 768]]].flatMap(([wide, size]) => [
    { name: `unruly-calls${wide}`, query: 'unruly', size },
    { name: `unruly-team${wide}`, query: 'unruly', size, before: press('Control+2') },
    { name: `unruly-size-up${wide}`, query: 'unruly', size, before: press('Control+1') },
    { name: `unruly-brief${wide}`, query: 'unruly', size, before: press('Control+1', 'b') },
    { name: `unruly-review${wide}`, query: 'unruly', size, before: press('Control+5') },
    { name: `unruly-part${wide}`, query: 'unruly', size, before: press('Control+f') },
    { name: `unruly-over${wide}`, query: 'unruly', size, before: press('Control+o') },
    { name: `unruly-commander${wide}`, query: 'unruly&commander', size },
  ]),
  // What is done inside the motion, and the change-over's list.
  ...[['', [1280, 800]], ['-narrow', [1024, 768]], ['-wide', [1920, 1080]]].flatMap(([wide, size]) => [
    { name: `phase${wide}`, size, query: wide === '-narrow' ? 'look=night' : '', before: async (page) => {
      await type('c knot pass')(page)
      await press('Enter')(page)
      await page.waitForTimeout(300)
      await type('l 10m')(page)
      await press('Enter')(page)
      await page.waitForTimeout(300)
    } },
    { name: `over${wide}`, size, before: press('Control+o') },
    { name: `over-stop${wide}`, size, query: 'until=1515', before: press('Control+o') },
    { name: `over-half${wide}`, size, query: 'look=sun', before: async (page) => {
      await press('Control+o', '2')(page)
      await page.waitForTimeout(400)
      await press('4')(page)
      await page.waitForTimeout(400)
    } },
  ]),
  { name: 'over-night', query: 'look=night', before: press('Control+o') },
  { name: 'phase-commander', query: 'commander&until=1515&phase', size: [1920, 1080] },
  { name: 'vitals', before: async (page) => {
    await press('Control+1')(page)
    for (const words of ['pulse 92, awake', 'pulse 96, cold, 36.1 °C']) {
      await page.getByTestId('vitals-text').fill(words)
      await press('Enter')(page)
      await page.waitForTimeout(200)
    }
  } },
  { name: 'start', query: 'start' },
  { name: 'start-night', query: 'start&look=night' },
  { name: 'start-trouble', query: 'start&trouble', before: press('Enter') },
]

const SIZES = [
  ['narrow', [1024, 768], ''],
  // The bar of what was not heard takes of the drawing's height.
  ['narrow-watch', [1024, 768], 'watch=on_rope_long&watch=not_heard'],
  ['middle', [1280, 800], ''],
  ['wide', [1920, 1080], ''],
]
const lose = async (page) => {
  await press('Control+3')(page)
  await page.locator('[data-part=rope_one] .hit').first().click()
  await press('x')(page)
}

const moves = async (page) => {
  await lose(page)
  await press('m')(page)
  await page.getByTestId('rig-ranks').scrollIntoViewIfNeeded()
}
const beside = async (page) => {
  await lose(page)
  await press('o')(page)
  const systems = page.getByTestId('rig-beside').getByRole('button')
  if ((await systems.count()) > 0) await systems.first().click()
  await page.getByTestId('rig-beside').scrollIntoViewIfNeeded()
}

/** A rig of look/rigs at three sizes, with a bar over the smallest, by day, by night, and with rope one lost. */
export const rigShots = (rig) => [
  ...SIZES.map(([word, size, query]) => ({ name: `rigs-${rig}-${word}`, rig, size, query, before: press('Control+3') })),
  { name: `rigs-${rig}-night`, rig, size: [1280, 800], query: 'look=night', before: press('Control+3') },
  ...SIZES.map(([word, size, query]) => ({ name: `rigs-${rig}-lost-${word}`, rig, size, query, before: lose })),
  { name: `rigs-${rig}-moves`, rig, size: [1280, 1600], before: moves },
  { name: `rigs-${rig}-beside`, rig, size: [1280, 1600], before: beside },
]
