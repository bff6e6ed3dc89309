/**
 * Figures. In a grid of charts the parts of neighbours stand on common lines: title beside title, drawing beside drawing,
 * words beside words, whatever their heights. A figure that has a row to itself has its words beside the drawing.
 */
export const FIGURE_STYLE = `.grid{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(29rem,100%),1fr));gap:0 2.2rem;align-items:start}
.grid>*{min-width:0}
figure{margin:1.6rem 0 2rem;min-width:0;break-inside:avoid}
figure .finding{font:600 1.15rem/1.3 var(--serif);margin:0;max-width:var(--measure)}
figure .who{color:var(--soft);font-size:.9rem;margin:.1rem 0 .5rem;max-width:var(--measure)}
figure .reading{color:var(--soft);font-size:.88rem;margin:.3rem 0 .4rem;max-width:var(--measure)}
figure .nothing{border:1px dashed var(--line);padding:1rem;color:var(--soft)}
.drawing{container-type:inline-size;position:relative}
.drawing svg{display:block;max-width:100%;height:auto}
.drawing svg text{font-family:Arial,"Liberation Sans",Arimo,Helvetica,"Segoe UI",Roboto,sans-serif}
.drawing .narrow{display:none}
@container (max-width:440px){.drawing .wide{display:none}.drawing .narrow{display:block}}
.drawing.unborn:not(.alive){min-height:14rem}
.drawing.alive>.wide,.drawing.alive>.narrow{display:none}
@media screen and (min-width:66rem){
.grid.charts>div{grid-row:span 6;display:grid;grid-template-rows:subgrid}
.grid.charts figure{grid-row:1/-1;display:grid;grid-template-rows:subgrid;align-content:start}
.grid.charts figure>.finding{align-self:end}
.grid.charts figure>.who{grid-row:2}.grid.charts figure>.drawing{grid-row:3}.grid.charts figure>.tools{grid-row:4}.grid.charts figure>.reading{grid-row:5}.grid.charts figure>details{grid-row:6}
.grid.charts>div:last-child:nth-child(odd){grid-column:1/-1}
html:not(.slides) main>figure,html:not(.slides) .option>figure,html:not(.slides) .grid.charts>div:last-child:nth-child(odd)>figure{display:grid;grid-template:auto auto auto auto 1fr/minmax(0,1fr) minmax(0,1fr);column-gap:2.2rem}
:is(main,.option)>figure>*,.grid.charts>div:last-child:nth-child(odd)>figure>*{grid-column:2}
:is(main,.option)>figure>:is(.finding,.who),.grid.charts>div:last-child:nth-child(odd)>figure>:is(.finding,.who){grid-column:1/-1}
:is(main,.option)>figure>:is(.drawing,.nothing),.grid.charts>div:last-child:nth-child(odd)>figure>:is(.drawing,.nothing){grid-column:1;grid-row:3/6}
:is(main,.option)>figure>.reading,.grid.charts>div:last-child:nth-child(odd)>figure>.reading{grid-row:3}
:is(main,.option)>figure>.tools,.grid.charts>div:last-child:nth-child(odd)>figure>.tools{grid-row:4}
:is(main,.option)>figure>details,.grid.charts>div:last-child:nth-child(odd)>figure>details{grid-row:5}
}
`
