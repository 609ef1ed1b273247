import { describe, expect, it } from 'vitest'
import table from '../../../src-tauri/crates/operation/tests/due.json'
import { dueWords } from '../../src/screens/review/due'

describe('by when', () => {
  it.each(table as [string, string][])('“%s” is said as the log says it', (when, said) => {
    expect(dueWords(when)).toBe(said)
  })

  it('says nothing where nothing was said', () => {
    expect(dueWords(' ')).toBe('')
  })
})
