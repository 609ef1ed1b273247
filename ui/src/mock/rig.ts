// The rig of the invented operation, as far as the Rig screen needs one to draw.
import type { RigDrawing } from '../wire/RigDrawing'
import type { RigView } from '../wire/RigView'
import type { TemplateView } from '../wire/TemplateView'

export const MOCK_RIG: RigView | null = null

export const MOCK_TEMPLATES: TemplateView[] = []

export function mockRigDrawing(_lost?: string): RigDrawing {
  return { list: { width: 100, height: 160, items: [] }, order: [], loss: null, parts: [] }
}

export const mockPreview = (_template: string): RigDrawing => mockRigDrawing()
