// When a lesson is to be seen to, in words: as the log says it (`operation/src/review/words.rs`).

/** Words that “by when” was answered with and that say of themselves how they are meant. */
const SAY_WHEN = new Set(
  `after always as asap at before by during each every from immediately in not on once straight until when whenever within`.split(' '),
)

/** “by May”, “before the next drill”; empty: not said. */
export function dueWords(when: string): string {
  const said = when.trim()
  const first = said.split(/[^\p{L}\p{N}]/u)[0]?.toLowerCase() ?? ''
  return said === '' || SAY_WHEN.has(first) ? said : `by ${said}`
}
