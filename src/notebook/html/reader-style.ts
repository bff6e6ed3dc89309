/**
 * What follows the reader: a finger, a small or a low screen (a desk at 400 % is both), colours of the reader's own.
 * On a narrow screen the first column of a table stays, so that a row keeps its name while the others pass.
 */
export const READER_STYLE = `@media (pointer:coarse){
summary{padding:.7rem 0}details.filters,.entriesbox>.tools{margin-block:0}ul.reasons{margin-block:.4rem 0}.tools button,.tools input,.filters select,nav.contents button,p.whole button,#deck button{min-height:2.75rem}
nav.contents a{padding:.65rem 0}nav.contents .wrap{padding-block:.1rem}ul.reasons a,fieldset.choice label{padding:.7rem .9rem}th button{min-height:2.75rem}ol.entries .who a{display:inline-block;padding:.25rem 0}
}
@media (max-height:30rem){nav.contents{position:static}html,.filtered{scroll-padding-top:1rem}}
@media (max-width:34rem){
.notice{margin:.6rem 0;padding:.5rem .8rem}
.scroll :is(td,th):first-child:not(.l){position:sticky;left:0;z-index:1;background:var(--paper)}
.scroll td:first-child:not(.l,.c){white-space:normal;max-width:10rem}
.scroll.tall thead th{z-index:2}.scroll.tall thead th:first-child{z-index:3}
.scroll :is(.here,:target)>td:first-child{background:var(--accent-soft)}
}
@media (forced-colors:active){
.tools .explore[aria-pressed=true],fieldset.choice input:checked+label{forced-color-adjust:none;background:Highlight;color:HighlightText;border-color:Highlight}
.band,.ring{forced-color-adjust:none;border-color:Highlight}.band{background:Highlight}
#tip{border:1px solid CanvasText}
}
`
