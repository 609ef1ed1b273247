// Stable names of what window tests drive and read on Team, Rig and Review, as `data-testid`.
//
// Team    team-row (data-person or data-role, data-zone, aria-selected) · team-vacancy · team-assign
//         team-par · team-par-start · team-move-clear, -edge, -on_rope, -drop
//         team-in, team-out, team-hand-over, team-role
//         forms: form-check-in (in-name, in-role, in-qualifications, in-agency) · form-role (role-pick)
//         form-fill (fill-pick) · form-hand-over · form-zone (zone-tied, zone-not-tied, zone-partner) · form-par (par-count)
//         form-check-out; each with -record and -away; team-done says what was recorded last
// Rig     rig-empty · template-NAME · rig-name · param-NAME · param-NAME-trouble · rig-record
//         rig-drawing · rig-part · rig-use-NAME · rig-state-ID · rig-lose · rig-freeze · rig-put-back · rig-banner
//         rig-check · rig-checks · rig-finding (data-standing) · rig-holds-more · rig-stale
//         rig-sign · form-sign (sign-role, sign-person) · rig-signature (data-stale)
//         form-accept (accept-person, accept-reason) · rig-how · rig-edit · rig-new · rig-part-edit · rig-add
//         form-part (part-label, part-rating, part-by, part-remove) · form-add (add-kind, add-label, add-from, add-to)
//         rig-draft · rig-undo · rig-drop · rig-record-draft
// Review  review-report · review-report-path · review-close · review-close-confirm · review-close-away
//         review-another · review-motion (data-motion) · review-readback (data-role) · review-measure
//         review-finding (data-mark, data-departs) · review-entries · review-overview · review-record

export const ID = {
  teamRow: 'team-row',
  teamVacancy: 'team-vacancy',
  teamAssign: 'team-assign',
  teamPar: 'team-par',
  teamParStart: 'team-par-start',
  teamMove: (zone: string): string => `team-move-${zone}`,
  teamIn: 'team-in',
  teamOut: 'team-out',
  teamHandOver: 'team-hand-over',
  teamRole: 'team-role',
  teamDone: 'team-done',
  formCheckIn: 'form-check-in',
  formCheckOut: 'form-check-out',
  formRole: 'form-role',
  formFill: 'form-fill',
  formHandOver: 'form-hand-over',
  formZone: 'form-zone',
  formPar: 'form-par',
  inName: 'in-name',
  inRole: 'in-role',
  inQualifications: 'in-qualifications',
  inAgency: 'in-agency',
  rolePick: 'role-pick',
  fillPick: 'fill-pick',
  handOverRole: 'hand-over-role',
  handOverTo: 'hand-over-to',
  zonePartner: 'zone-partner',
  tied: 'zone-tied',
  notTied: 'zone-not-tied',
  parCount: 'par-count',

  rigEmpty: 'rig-empty',
  template: (name: string): string => `template-${name}`,
  rigName: 'rig-name',
  param: (name: string): string => `param-${name}`,
  paramTrouble: (name: string): string => `param-${name}-trouble`,
  rigForm: 'form-rig',
  rigDrawing: 'rig-drawing',
  rigPart: 'rig-part',
  rigUse: (name: string): string => `rig-use-${name}`,
  rigState: (id: string): string => `rig-state-${id}`,
  rigLose: 'rig-lose',
  rigFreeze: 'rig-freeze',
  rigPutBack: 'rig-put-back',
  rigBanner: 'rig-banner',
  rigCheck: 'rig-check',
  rigChecks: 'rig-checks',
  rigFinding: 'rig-finding',
  rigHoldsMore: 'rig-holds-more',
  rigStale: 'rig-stale',
  rigSign: 'rig-sign',
  formSign: 'form-sign',
  signRole: 'sign-role',
  signPerson: 'sign-person',
  rigSignature: 'rig-signature',
  formAccept: 'form-accept',
  acceptPerson: 'accept-person',
  acceptReason: 'accept-reason',
  rigHow: 'rig-how',
  rigEdit: 'rig-edit',
  rigNew: 'rig-new',
  rigPartEdit: 'rig-part-edit',
  rigAdd: 'rig-add',
  rigDraft: 'rig-draft',
  rigUndo: 'rig-undo',
  rigDrop: 'rig-drop',
  rigRecordDraft: 'rig-record-draft',
  formPart: 'form-part',
  partLabel: 'part-label',
  partRating: 'part-rating',
  partBy: 'part-by',
  partRemove: 'part-remove',
  formAdd: 'form-add',
  addKind: 'add-kind',
  addLabel: 'add-label',
  addFrom: 'add-from',
  addTo: 'add-to',

  reviewReport: 'review-report',
  reviewReportPath: 'review-report-path',
  reviewClose: 'review-close',
  reviewCloseConfirm: 'review-close-confirm',
  reviewCloseAway: 'review-close-away',
  reviewAnother: 'review-another',
  reviewMotion: 'review-motion',
  reviewReadback: 'review-readback',
  reviewMeasure: 'review-measure',
  reviewFinding: 'review-finding',
  reviewEntries: 'review-entries',
  reviewOverview: 'review-overview',
  reviewRecord: 'review-record',
} as const
