# Every measure worked out anew from the five tables and the written definitions, to check those of src/measures.
#   Rscript measures.R FOLDER-OF-TABLES AS-OF OUT.csv
# The tables are those of `waneline read` (demo: --as-of 2026-06-30) or of writeOddCaseload (odd-caseload.ts; 2025-09-30).
# R 4.2.2, data.table 1.14.8, lme4 1.1-31, ordinal 2022.11-16, survival 3.5-3. Figures are then kept to 11 digits; from data/*.csv are left
# out what is one figure a line and day count, and plain.phase.*, the two-slope model without the terms against regression to the mean.
# Choices the definitions leave open, made as the toolkit's own docstrings say: lines that overlap are one course; the 28 days of low
# adherence are days with a running line; a client counts as improved where half of the eligible series are; terms of the phase model.
suppressPackageStartupMessages({library(data.table)})
args <- commandArgs(TRUE); dir <- args[1]; ASOF <- as.integer(as.Date(args[2])); outfile <- args[3]
rd <- function(n) { d <- fread(file.path(dir, paste0(n, ".csv")), colClasses="character", na.strings=NULL, sep=",", encoding="UTF-8"); d }
D <- function(x) as.integer(as.Date(ifelse(x=="", NA, x)))
N <- function(x) as.numeric(ifelse(x=="", NA, x))
cl <- rd("clients"); as_ <- rd("assessments"); pr <- rd("programmes"); se <- rd("sessions")
OUT <- list(); put <- function(key, v) { OUT[[length(OUT)+1]] <<- data.table(name=key, value=as.numeric(v)) }
putv <- function(keys, v) if (length(keys)) OUT[[length(OUT)+1]] <<- data.table(name=keys, value=as.numeric(v))
M <- 30.4375
upper <- c(rooting=12, palmar_grasp=6, plantar_grasp=14, moro=6, spinal_galant=6, asymmetric_tonic_neck=7, symmetric_tonic_neck=12,
  tonic_labyrinthine=6, extensor_plantar=24, sucking=4, babkin=5, snout=12)
cl[, `:=`(birth=D(birth_date), gest=N(gestation_weeks), disch=D(discharged_on))]
setkey(cl, client_id)
age <- function(id, day) { b <- cl[.(id), birth]; g <- cl[.(id), gest]; m <- (day-b)/M
  ifelse(!is.na(m) & m<24 & !is.na(g) & g<37, m-(40-g)*7/M, m) }
as_[, `:=`(day=D(assessed_on), sev=N(score)/N(scale_max))]
as_ <- as_[day<=ASOF]
as_[, id := paste(client_id, reflex, side, sep="|")]
setorder(as_, id, day)
oc <- as_[, .(sev=mean(sev), raters=.N), by=.(id, client_id, reflex, side, day)]
pr[, `:=`(from=D(starts_on), to=D(ends_on), spd=N(sessions_per_day), reps=N(reps_per_session), secs=N(seconds_per_session), inten=N(intensity))]
pr[, id := paste(client_id, target, side, sep="|")]
starts <- pr[from<=ASOF, .(start=min(from)), by=id]
st <- setNames(starts$start, starts$id)
S <- oc[, .(n=.N, first=day[1], last=day[.N], lastsev=sev[.N]), by=.(id, client_id, reflex, side)]
S[, start := st[id]]
# ---- smallest reliable difference
dbl <- list()
for (g in split(as_[rater_id!=""], by=c("id","day"))) if (nrow(g)>1) for (i in 1:(nrow(g)-1)) for (j in (i+1):nrow(g)) if (g$rater_id[i]!=g$rater_id[j])
  dbl[[length(dbl)+1]] <- data.table(client=g$client_id[1], reflex=g$reflex[1], r1=g$rater_id[i], r2=g$rater_id[j], a=g$sev[i], b=g$sev[j])
dbl <- if (length(dbl)) rbindlist(dbl) else data.table(client=character(),reflex=character(),r1=character(),r2=character(),a=numeric(),b=numeric())
base <- function(i) { o <- oc[id==i]; s <- S[id==i, start]; if (is.na(s)) return(NULL); b <- o[day<=s]; if(!nrow(b)) return(NULL); b <- b[.N]; if (s-b$day>60) NULL else b }
ocl <- split(oc, by="id")
basel <- lapply(S$id, function(i){ o <- ocl[[i]]; s <- st[i]; if (is.na(s)) return(NULL); b <- o[day<=s]; if(!nrow(b)) return(NULL); b <- b[.N]; if (s-b$day>60) NULL else b })
names(basel) <- S$id
statusbase <- function(i) if (is.na(st[i])) ocl[[i]][1] else basel[[i]]
npairs <- nrow(dbl); nc <- uniqueN(dbl$client)
put("srd.pairs", npairs); put("srd.clients", nc)
if (npairs>=30 && nc>=10) { SRD <- 1.96*sqrt(mean((dbl$a-dbl$b)^2)); put("srd.own",1) } else {
  bb <- unlist(lapply(S$id, function(i){b<-statusbase(i); if(is.null(b)) NULL else b$sev}))
  SRD <- 1.96*sqrt(2)*sd(bb)*sqrt(0.20); put("srd.own",0) }
put("srd", SRD)
eps <- 1e-9
# ---- status
runs <- function(sev, day) { # maximal runs of zeros after a positive
  r <- rle(sev==0); e <- cumsum(r$lengths); b <- e-r$lengths+1
  k <- which(r$values & b>1 & cummax(c(0,as.integer(sev>0)))[b]==1)
  data.frame(b=b[k], e=e[k], ok=(e[k]-b[k]+1)>=2 & (day[e[k]]-day[b[k]])>=28) }
status <- function(i) { o <- ocl[[i]]; n <- nrow(o); if (n<2) return("not enough scores")
  r <- runs(o$sev,o$day); pos <- o$sev[n]>0
  if (pos && any(r$ok)) return("returned")
  if (pos && nrow(r)>0) return("wavering")
  if (pos && all(o$sev[-n]==0)) return("appeared")
  if (!pos && nrow(r)>0 && tail(r$ok,1)) return("integrated")
  if (!pos && nrow(r)>0) return("absent, unconfirmed")
  if (!pos) return("never seen")
  b <- statusbase(i); if (is.null(b)) return("no reliable change")
  ch <- o$sev[n]-b$sev
  if (is.na(SRD)) return("no reliable change")
  if (ch>SRD+eps) "rising" else if (ch< -SRD-eps) "fading" else "no reliable change" }
S[, status := sapply(id, status)]
SCODE <- c("not enough scores","returned","wavering","appeared","integrated","absent, unconfirmed","never seen","rising","fading","no reliable change")
putv(paste0("status.",S$id), match(S$status,SCODE))
# ---- before and after
pastage <- function(i, d) { a <- age(sub("\\|.*","",i), d); u <- upper[sub(".*?\\|(.*)\\|.*","\\1",i)]; ifelse(is.na(a), NA, a>=u) }
hz <- list(weeks12=c(63,105,84), weeks26=c(154,210,182), latest=c(28,Inf,NA))
library(stats)
dz.ci <- function(d, n) { t0 <- d*sqrt(n); df <- n-1
  f <- function(p) { g <- function(nc) if (abs(nc)<30) suppressWarnings(pt(t0, df, nc))-p else integrate(function(s) pnorm(t0*s-nc)*exp(log(2)+(df/2)*log(df/2)-lgamma(df/2)+(df-1)*log(s)-df*s^2/2), 0, Inf, rel.tol=1e-12, subdivisions=2000)$value-p; # R's pt gives up at 37.62
 uniroot(g, c(t0-10-2*abs(t0), t0+10+2*abs(t0)), tol=1e-12)$root/sqrt(n) }
  c(f(.975), f(.025)) }
Jexact <- function(m) exp(lgamma(m/2)-lgamma((m-1)/2))/sqrt(m/2)
wil <- function(x) { x <- x[abs(x)>1e-9]; n <- length(x); if (!n) return(c(NA,NA,NA))
  r <- rank(round(abs(x),9)); wp <- sum(r[x>0]); wm <- sum(r[x<0])
  # exact law of W+ given ties (doubled ranks), by convolution
  if (n<=300) { k <- round(2*r); tot <- sum(k); p <- c(1, rep(0,tot)); for (q in k) { s <- c(rep(0,q), p[1:(tot+1-q)]); p <- (p+s)/2 }
    w <- round(2*wp); lo <- sum(p[1:(w+1)]); hi <- sum(p[(w+1):(tot+1)]); pv <- min(1, 2*min(lo,hi)) } else pv <- NA
  c((wp-wm)/(wp+wm), pv, n) }
wilson <- function(x,n) prop.test(x,n,correct=FALSE)$conf.int
summ <- function(pre, P) { # P: id, client, b, f (points of 0-4)
  cm <- P[, .(b=mean(b), f=mean(f)), by=client]; ch <- cm$f-cm$b; n <- nrow(cm)
  put(paste0(pre,".n"), n); put(paste0(pre,".series"), nrow(P)); put(paste0(pre,".before"), mean(cm$b)); put(paste0(pre,".after"), mean(cm$f)); put(paste0(pre,".change"), mean(ch))
  if (n>=3 && sd(ch)>1e-12) { dz <- mean(ch)/sd(ch); J <- Jexact(n-1); ci <- dz.ci(dz,n)
    put(paste0(pre,".dz"), dz); put(paste0(pre,".g"), J*dz); put(paste0(pre,".dzlo"), ci[1]); put(paste0(pre,".dzhi"), ci[2]); put(paste0(pre,".glo"), J*ci[1]); put(paste0(pre,".ghi"), J*ci[2])
    put(paste0(pre,".davmean"), mean(ch)/((sd(cm$b)+sd(cm$f))/2)); put(paste0(pre,".dav"), mean(ch)/sqrt((var(cm$b)+var(cm$f))/2)) }
  w <- wil(ch); put(paste0(pre,".rb"), w[1]); put(paste0(pre,".p"), w[2])
  el <- P$b/4 > SRD+eps; im <- el & ((P$b-P$f)/4 > SRD+eps | P$integ)
  put(paste0(pre,".elig"), sum(el)); put(paste0(pre,".improved"), sum(im))
  if (sum(el)) { ci <- suppressWarnings(wilson(sum(im),sum(el))); put(paste0(pre,".wlo"), ci[1]); put(paste0(pre,".whi"), ci[2]) }
  invisible(w[2]) }
PAIRS <- list()
for (h in names(hz)) { H <- hz[[h]]; P <- list()
  for (i in S$id) { s <- st[i]; b <- basel[[i]]; if (is.na(s) || is.null(b)) next; if (!(sub("\\|.*","",i) %in% cl$client_id)) next
    o <- ocl[[i]]; o <- o[day-s>=H[1] & day-s<=H[2]]; if (!nrow(o)) next
    f <- if (is.na(H[3])) o[.N] else o[order(abs(day-s-H[3]), day)][1]
    oo <- ocl[[i]]; r <- runs(oo$sev,oo$day); integ <- nrow(r)>0 && tail(r$ok,1) && tail(r$e,1)==nrow(oo) && oo$day[tail(r$b,1)]<=f$day
    P[[length(P)+1]] <- data.table(id=i, client=o$client_id[1], reflex=o$reflex[1], side=o$side[1], b=b$sev*4, f=f$sev*4, past=pastage(i,b$day), integ=integ, bday=b$day) }
  P <- rbindlist(P); if (!nrow(P)) next
  put(paste0("ba.",h,".appropriate"), sum(P$past==FALSE,na.rm=TRUE)); put(paste0("ba.",h,".unknownage"), sum(is.na(P$past)))
  ps <- c(); for (rf in unique(P[past==FALSE]$reflex)) ps[rf] <- summ(paste0("ba.",h,".app.",rf), P[past==FALSE & reflex==rf]); if (length(ps)) { adj <- p.adjust(ps,"holm"); putv(paste0("ba.",h,".app.",names(adj),".holm"), adj) }
  P <- P[past==TRUE]; PAIRS[[h]] <- P
  put(paste0("ba.",h,".series"), nrow(P)); if (!nrow(P)) next
  ps <- c(); for (rf in unique(P$reflex)) ps[rf] <- summ(paste0("ba.",h,".",rf), P[reflex==rf])
  adj <- p.adjust(ps, "holm"); putv(paste0("ba.",h,".",names(adj),".holm"), adj)
  summ(paste0("ba.",h,".all"), P)
  site <- cl[.(P$client), site]; ps <- c(); for (x in unique(site)) ps[x] <- summ(paste0("ba.",h,".site.",x), P[site==x]); adj <- p.adjust(ps,"holm"); putv(paste0("ba.",h,".site.",names(adj),".holm"), adj)
  ps <- c(); for (x in unique(P$side)) ps[x] <- summ(paste0("ba.",h,".side.",x), P[side==x]); adj <- p.adjust(ps,"holm"); putv(paste0("ba.",h,".side.",names(adj),".holm"), adj)
  suppressPackageStartupMessages(library(lme4))
  P[, ch := f-b]
  if (uniqueN(P$client)>2 && nrow(P)>uniqueN(P$client)) { m <- suppressMessages(lmer(ch ~ 1 + (1|client), P, control=lmerControl(optCtrl=list(xtol_abs=1e-10,ftol_abs=1e-12))))
    put(paste0("fit.ba.",h,".mixed"), fixef(m)); put(paste0("fit.ba.",h,".mixedse"), sqrt(vcov(m)[1,1])) }
}
# ---- slopes
for (i in S[n>=2, id]) { o <- ocl[[i]]; t0 <- if (is.na(st[i])) o$day[1] else st[i]; x <- (o$day-t0)/M; y <- o$sev*4
  m <- lm(y~x); put(paste0("slope.ls.",i), coef(m)[2]); if (nrow(o)>2) { s <- suppressWarnings(confint(m)[2,]); put(paste0("slope.lslo.",i), s[1]); put(paste0("slope.lshi.",i), s[2]) }
  k <- combn(nrow(o),2); put(paste0("slope.ts.",i), median((y[k[2,]]-y[k[1,]])/(x[k[2,]]-x[k[1,]]))) }
# ---- time to integration
TI <- list()
for (i in S$id) { s <- st[i]; if (is.na(s)) next; o <- ocl[[i]]; b <- which(o$day<=s); if (!length(b)) next; b <- max(b); if (o$sev[b]==0 || b==nrow(o)) next
  r <- runs(o$sev,o$day); r <- r[r$ok & r$b>b,]
  if (nrow(r)) { L <- o$day[r$b[1]-1]-s; R <- o$day[r$b[1]]-s } else { L <- max(o$day[o$sev>0])-s; R <- Inf }
  TI[[length(TI)+1]] <- data.table(id=i, client=o$client_id[1], reflex=o$reflex[1], L=max(0,L), R=R) }
TI <- rbindlist(TI)
if (nrow(TI)) { putv(paste0("tti.L.",TI$id), TI$L); putv(paste0("tti.R.",TI$id), ifelse(is.finite(TI$R),TI$R,1e9)) }
suppressPackageStartupMessages(library(survival))
turn <- function(L,R) { # EM on Turnbull's innermost intervals (L,R], to 1e-12
  ev <- rbind(data.frame(x=L,k=1,o=1), data.frame(x=R,k=2,o=0)); ev <- ev[order(ev$x, ev$o),]   # right ends before left ends at ties: (a,b] then (b,c]
  q <- which(head(ev$k,-1)==1 & tail(ev$k,-1)==2); l <- ev$x[q]; r <- ev$x[q+1]
  A <- outer(seq_along(L), seq_along(l), function(i,j) as.numeric(l[j]>=L[i] & r[j]<=R[i])); p <- rep(1/length(l),length(l))
  for (it in 1:200000) { d <- as.vector(A%*%p); pn <- p*colMeans(A/d); if (max(abs(pn-p))<1e-13) break; p <- pn }
  list(l=l,r=r,p=pn,ll=sum(log(A%*%pn))) }
for (rf in unique(TI$reflex)) { x <- TI[reflex==rf]; put(paste0("tti.",rf,".series"), nrow(x)); put(paste0("tti.",rf,".clients"), uniqueN(x$client)); put(paste0("tti.",rf,".integrated"), sum(is.finite(x$R)))
  if (uniqueN(x$client)<5) next
  t <- turn(x$L,x$R); put(paste0("fit.tti.",rf,".ll"), t$ll)
  cum <- cumsum(t$p); k <- which(cum>=0.5-1e-5)[1]; put(paste0("tti.",rf,".medl"), t$l[k]); put(paste0("tti.",rf,".medr"), ifelse(is.finite(t$r[k]),t$r[k],1e9))
  for (at in c(84,182,365)) { # determined only where no interval straddles
    put(paste0("fit.tti.",rf,".at",at,".lo"), 1-sum(t$p[t$l<at])) ; put(paste0("fit.tti.",rf,".at",at,".hi"), 1-sum(t$p[t$r<=at])) } }
# ---- adherence
cl_d <- setNames(cl$disch, cl$client_id)
L <- copy(pr); L[, until := pmin(ifelse(is.na(to),ASOF,to), ifelse(is.na(cl_d[client_id]),ASOF,cl_d[client_id]), ASOF)]
L <- L[from<=ASOF & until>=from & spd>0]
LD <- L[, .(day=seq(from,until)), by=.(ln=seq_len(nrow(L)), client_id, target, side, id, spd, reps, secs)]
se[, `:=`(day=D(done_on), r=N(reps), s=N(seconds))]; se[, id := paste(client_id,target,side,sep="|")]
sa <- se[day<=ASOF]
DD <- LD[, .(spd=sum(spd), rpd=sum(spd*reps), qpd=sum(spd*secs), k=.N), by=.(client_id,target,side,id,day)]  # NA where a line has none
DD[, unit := ifelse(!is.na(rpd)&rpd>0,"reps",ifelse(!is.na(qpd)&qpd>0,"secs","sess"))]
DD[, presc := ifelse(unit=="reps",rpd,ifelse(unit=="secs",qpd,spd))]
x <- sa[DD, on=.(id,day), nomatch=NULL, .(id,day,r,s,unit,presc,spd)]
x[, amt := ifelse(unit=="reps", ifelse(is.na(r),presc/spd,r), ifelse(unit=="secs", ifelse(is.na(s),presc/spd,s), 1))]
x[, miss := (unit=="reps"&is.na(r))|(unit=="secs"&is.na(s))]
y <- x[, .(done=.N, amt=sum(amt)), by=.(id,day)]
DD <- merge(DD, y, by=c("id","day"), all.x=TRUE); DD[is.na(done), `:=`(done=0L, amt=0)]
logged <- unique(sa[, .(client_id,day)]); logged[, lg:=TRUE]
DD <- merge(DD, logged, by=c("client_id","day"), all.x=TRUE); DD[is.na(lg), lg:=FALSE]
DD[, `:=`(dose=pmin(1,amt/presc), sh=pmin(1,done/spd), full=done>=spd, tch=done>0, over=amt>1.5*presc)]
fig <- function(pre, d) { put(paste0(pre,".linedays"), nrow(d)); put(paste0(pre,".logged"), sum(d$lg)); l <- d[lg==TRUE]
  for (v in c("dose","sh","full","tch","over")) { put(paste0(pre,".",v,".all"), mean(d[[v]])); if (nrow(l)) put(paste0(pre,".",v,".log"), sum(d[[v]])/nrow(l)) }
  put(paste0(pre,".done"), sum(d$done)); put(paste0(pre,".presc"), sum(d$spd)) }
fig("ad", DD); put("ad.withoutfigure", sum(x$miss)); put("ad.onprogramme", nrow(x)); put("ad.off", nrow(sa)-nrow(x)); put("ad.lines", nrow(L))
gap <- function(days, hit) { r <- rle(hit[order(days)]==FALSE); max(0, r$lengths[r$values]) }
setorder(DD, id, day)
DD[, stretch := cumsum(c(1L, diff(day)!=1L)), by=id]
# adjoining lines that do not overlap are lines of their own: break where a line starts and none of the earlier runs
setorder(L, id, from)
L[, grp := { g <- integer(.N); cur <- 0L; u <- -Inf; for (k in seq_len(.N)) { if (from[k]>u) cur <- cur+1L; u <- max(u, until[k]); g[k] <- cur }; g }, by=id]
G <- L[, .(gfrom=min(from), gto=max(until), nl=.N), by=.(id,grp)]
DD <- G[DD, on=.(id, gfrom<=day, gto>=day), .(id, grp, day=i.day, client_id, target, side, spd, rpd, qpd, unit, presc, done, amt, lg, dose, sh, full, tch, over)]
for (g in split(DD, by=c("id","grp"))) { k <- paste0("adl.",g$id[1],"@",min(g$day)); setorder(g,day); fig(k,g); put(paste0(k,".gap"), gap(g$day,g$tch)); put(paste0(k,".init"), if (any(g$tch)) min(g$day[g$tch])-min(g$day) else -1) }
lastlog <- sa[, .(ll=max(day)), by=client_id]; lastlog <- setNames(lastlog$ll, lastlog$client_id)
CLI <- list()
for (g in split(DD, by="client_id")) { c0 <- g$client_id[1]; k <- paste0("adc.",c0); fig(k,g)
  a <- min(g$day); b <- max(g$day); cd <- g[, .(run=.N, t=sum(tch)), by=day]; full <- merge(data.table(day=a:b), cd, by="day", all.x=TRUE); full[is.na(run), `:=`(run=0L,t=0L)]
  put(paste0(k,".gap"), gap(full$day, full$t>0)); put(paste0(k,".init"), if (any(full$t>0)) min(full$day[full$t>0])-a else -1); put(paste0(k,".days"), sum(full$t>0))
  # first long break: 14 running line-days without a session after initiation
  br <- NA; if (any(full$t>0)) { f0 <- min(full$day[full$t>0]); q <- full[day>=f0 & run>0]; r <- rle(q$t==0); e <- cumsum(r$lengths); w <- which(r$values & r$lengths>=14); if (length(w)) br <- q$day[e[w[1]]-r$lengths[w[1]]+1] 
    CLI[[length(CLI)+1]] <- data.table(client=c0, time=(if (is.na(br)) b+1 else br)-f0, ev=!is.na(br)) }
  put(paste0(k,".break"), if (is.na(br)) -1 else br)
  l <- lastlog[c0]; q <- full[run>0 & day<=l]; if (!is.na(l) && nrow(q)>=28) put(paste0(k,".recent"), sum(tail(q$t,28))/sum(tail(q$run,28))) else put(paste0(k,".recent"), -1)
}
CLI <- rbindlist(CLI); if (nrow(CLI)) { km <- survfit(Surv(time,ev)~1, CLI); for (tt in c(28,56,84,112,168)) put(paste0("km.",tt), summary(km, times=tt, extend=TRUE)$surv); put("km.n", nrow(CLI)) }
# side ratio
for (g in split(DD[side %in% c("left","right")], by=c("client_id","target"))) { if (uniqueN(g$side)<2) next
  un <- if (all(g$unit=="reps")) "reps" else if (all(g$unit=="secs")) "secs" else "sess"; if (un=="sess") { g[, `:=`(amt=as.numeric(done), presc=spd)] }
  z <- max(g$day); q <- g[day>z-28]; k <- paste0("ratio.",g$client_id[1],".",g$target[1])
  l <- q[side=="left"]; r <- q[side=="right"]; ra <- sum(l$amt)/sum(r$amt); pra <- sum(l$presc)/sum(r$presc)
  put(paste0(k,".left"), sum(l$amt)); put(paste0(k,".right"), sum(r$amt)); put(paste0(k,".presc"), if (is.finite(pra) && pra>0) pra else -1)
  put(paste0(k,".flag"), if (sum(l$amt)+sum(r$amt)==0 || !is.finite(pra) || pra==0) 0 else abs(log(ra/pra))>log(1.25)+1e-12) }
# ---- reactions
rx <- sa[, .(client_id,done_on,done_at,target,side,stimulus,reps,seconds,intensity,done_by,reaction,note)]
asked <- sa[reaction!=""]; ev <- asked[reaction!="none"]
key <- c("client_id","done_on","done_at","target","stimulus","reps","seconds","intensity","done_by","reaction","note")
e <- ev[, .(l=sum(side=="left"), r=sum(side=="right"), m=sum(side=="midline")), by=key]; if (nrow(e)) e[, n := pmax(l,r)+m] else e[, n := integer()]
for (v in c("ALL", unique(sa$stimulus))) { a <- if (v=="ALL") asked else asked[stimulus==v]; k <- if (v=="ALL") sum(e$n) else sum(e[stimulus==v]$n); tag <- paste0("rx.",if (v=="") "not recorded" else v)
  put(paste0(tag,".asked"), nrow(a)); put(paste0(tag,".n"), k); put(paste0(tag,".notasked"), nrow(if (v=="ALL") sa else sa[stimulus==v])-nrow(a))
  if (nrow(a)) { ci <- poisson.test(k, nrow(a)/1000)$conf.int; put(paste0(tag,".rate"), k/nrow(a)*1000); put(paste0(tag,".lo"), ci[1]); put(paste0(tag,".hi"), ci[2]) } }
# ---- agreement
if (nrow(dbl)) { dd <- copy(dbl); sw <- dd$r2<dd$r1; dd[, `:=`(ra=ifelse(sw,r2,r1), rb=ifelse(sw,r1,r2), x=4*ifelse(sw,b,a), y=4*ifelse(sw,a,b))]
 for (g in split(dd, by=c("reflex","ra","rb"))) { k <- paste("agree",g$reflex[1],g$ra[1],g$rb[1],sep="|"); put(paste0(k,".n"), nrow(g)); if (nrow(g)<10) next
  n <- nrow(g); Y <- cbind(g$x,g$y); gm <- mean(Y); MSR <- 2*sum((rowMeans(Y)-gm)^2)/(n-1); MSC <- n*sum((colMeans(Y)-gm)^2); SSE <- sum((Y-gm)^2)-MSR*(n-1)-MSC; MSE <- SSE/(n-1)
  if (MSR+MSE+2*(MSC-MSE)/n > 0) { icc <- (MSR-MSE)/(MSR+MSE+2*(MSC-MSE)/n); put(paste0(k,".icc"), icc)
   # Shrout-Fleiss / McGraw-Wong interval
   Fj <- MSC/MSE; vn <- (n-1)*((2*icc*Fj+n*(1+icc)-2*icc))^2; vd <- (n-1)*4*icc^2*Fj^2+(n*(1+icc)-2*icc)^2; v <- vn/vd
   FL <- qf(.975,n-1,v); FU <- qf(.975,v,n-1); if (MSE>0) { put(paste0(k,".icclo"), n*(MSR-FL*MSE)/(FL*(2*MSC+(2*n-2-n)*MSE)+n*MSR)); put(paste0(k,".icchi"), n*(FU*MSR-MSE)/(2*MSC+(2*n-2-n)*MSE+n*FU*MSR)) } }
  d <- g$x-g$y; put(paste0(k,".bias"), mean(d)); put(paste0(k,".loalo"), mean(d)-qnorm(.975)*sd(d)); put(paste0(k,".loahi"), mean(d)+qnorm(.975)*sd(d))
  if (all(abs(Y-round(Y))<1e-9)) { O <- table(factor(g$x,0:4),factor(g$y,0:4))/n; W <- outer(0:4,0:4,function(a,b)(a-b)^2); E <- outer(rowSums(O),colSums(O)); if (sum(W*E)>0) put(paste0(k,".kappa"), 1-sum(W*O)/sum(W*E)) } } }
# ---- funnel (12 weeks)
P <- PAIRS$weeks12
if (!is.null(P) && nrow(P)) { P[, el := b/4>SRD+eps]; P[, im := el & ((b-f)/4>SRD+eps | integ)]
 C <- P[, .(e=sum(el), i=sum(im)), by=client][e>0]; C[, imp := 2*i>=e]
 for (by in c("clinician","site")) { C[, grp := cl[.(client)][[by]]]; K <- C[grp!=""]; if(!nrow(K)) next; ov <- mean(K$imp); put(paste0("funnel.",by,".overall"), ov)
  A <- K[, .(n=.N,k=sum(imp)), by=grp]; for (j in seq_len(nrow(A))) if (A$n[j]>=5) { t <- paste0("funnel.",by,".",A$grp[j]); put(paste0(t,".n"), A$n[j]); put(paste0(t,".k"), A$k[j])
    for (lv in c(.95,.998)) { put(paste0(t,".lo",lv), qbinom((1-lv)/2, A$n[j], ov)/A$n[j]); put(paste0(t,".hi",lv), qbinom(1-(1-lv)/2, A$n[j], ov)/A$n[j]) } } } }
# ---- visit gap, attention
v <- unique(as_[, .(client_id,day)]); setorder(v,client_id,day); gp <- v[, .(g=diff(day)), by=client_id]$g; mg <- median(gp); put("gap.median", mg)
here <- cl[is.na(disch) | disch>ASOF, client_id]
att <- function(kind, ids) putv(paste0("att.",kind,".",sort(unique(intersect(ids,here)))), rep(1,length(unique(intersect(ids,here)))))
att("returned", S[status=="returned",client_id]); att("rising", S[status=="rising",client_id]); att("integrated", S[status=="integrated",client_id])
run <- L[until==ASOF]; runc <- unique(run$client_id)
ns <- c(); for (g in split(DD, by=c("id","grp"))) if (max(g$day)==ASOF && ASOF-min(g$day)>=7 && !any(g$tch)) ns <- c(ns, g$client_id[1]); att("not started", ns)
lowids <- c(); for (g in split(DD, by="client_id")) { c0 <- g$client_id[1]; if (!(c0 %in% runc)) next; l <- lastlog[c0]; if (is.na(l)) next; cd <- g[day<=l, .(run=.N,t=sum(tch)), by=day]; setorder(cd,day); if (nrow(cd)>=28) { cd <- tail(cd,28); if (sum(cd$t)/sum(cd$run)<0.5) lowids <- c(lowids,c0) } }
att("low adherence", lowids)
rs <- run[, .(s=min(from)), by=client_id]; nd <- c(); for (j in seq_len(nrow(rs))) { l <- lastlog[rs$client_id[j]]; if (!is.na(l) && ASOF-max(l, rs$s[j]-1)>=14) nd <- c(nd, rs$client_id[j]) }; att("no diary", nd)
lv <- v[, .(d=max(day)), by=client_id]; lv <- setNames(lv$d,lv$client_id); od <- c(); for (c0 in runc) { d <- lv[c0]; if (is.na(d)) d <- min(L[client_id==c0]$from); if (ASOF-d>1.5*mg) od <- c(od,c0) }; att("overdue", od)
sk <- c(); for (j in which(S$status=="no reliable change")) { i <- S$id[j]; s <- st[i]; if (is.na(s)) next; b <- basel[[i]]; if (is.null(b)) next; p <- pastage(i, S$last[j]); if (!is.na(p) && !p) next; if (ASOF-s>=84 && S$last[j]-s>=63) sk <- c(sk, S$client_id[j]) }; att("stuck", sk)
# ---- models
DI <- list(); DDi <- split(DD[,.(id,day,dose)], by="id")
for (i in intersect(S$id, names(DDi))) { o <- ocl[[i]]; q <- DDi[[i]]; f <- min(q$day); if (nrow(o)<2) next
  for (k in 1:(nrow(o)-1)) { a <- o$day[k]; b <- o$day[k+1]; if (b<=f) next; w <- q[day>a & day<=b]; if (b-a<21 || nrow(w)<(b-a)/2 || o$sev[k]==0) next
    DI[[length(DI)+1]] <- data.table(client=o$client_id[1], y=4*(o$sev[k+1]-o$sev[k])/((b-a)/M), dose=mean(w$dose)) } }
DI <- rbindlist(DI); put("dose.n", nrow(DI))
if (nrow(DI) && uniqueN(DI$client)>=5) { DI[, u := mean(dose), by=client]; DI[, `:=`(w=dose-u, b=u-mean(DI$dose))]
  m <- suppressMessages(lmer(y ~ w + b + (1|client), DI, control=lmerControl(optCtrl=list(xtol_abs=1e-10,ftol_abs=1e-12)))); put("fit.dose.within", fixef(m)[2]); put("fit.dose.between", fixef(m)[3]); put("fit.dose.at", fixef(m)[1]) }
ctl <- lmerControl(optimizer="bobyqa", optCtrl=list(maxfun=1e6, rhoend=1e-10), calc.derivs=FALSE, check.conv.singular="ignore")
T <- merge(oc, S[n>=2, .(id)], by="id"); T[, months := (day - ifelse(is.na(st[id]), sapply(id, function(i) ocl[[i]]$day[1]), st[id]))/M]; T[, y := 4*sev]
if (uniqueN(T$client_id)>=3) { m <- suppressMessages(suppressWarnings(lmer(y ~ months + (months|client_id) + (months|id), T, control=ctl))); put("fit.traj.slope", fixef(m)[2]); put("fit.traj.intercept", fixef(m)[1]); put("fit.traj.reml", REMLcrit(m)); put("fit.traj.resid", sigma(m))
 put("fit.traj.sdc", attr(VarCorr(m)$client_id,"stddev")[2]); put("fit.traj.sds", attr(VarCorr(m)$id,"stddev")[2])
 cc <- coef(m)$id; re <- ranef(m); cid <- sub("\\|.*","",rownames(re$id)); putv(paste0("fit.traj.shrunk.",rownames(re$id)), fixef(m)[2]+re$id[,2]+re$client_id[cid,2]) }
# phase: series with programme, past usual age at the start, 2 occasions within 12 months
Q <- list()
for (i in S$id) { s <- st[i]; if (is.na(s)) next; c0 <- sub("\\|.*","",i); bd <- cl[.(c0),birth]; if (is.na(bd)) next; p <- pastage(i,s); if (is.na(p) || !p) next
  o <- copy(ocl[[i]]); o[, m := (day-s)/M]; fst <- o$day[1]; o <- o[abs(m)<=12]; if (nrow(o)<2) next; bs <- o[day<=s]; bd_ <- if (nrow(bs)) max(bs$day) else NA
  Q[[length(Q)+1]] <- data.table(id=i, client=c0, m=o$m, y=4*o$sev, base=as.numeric(!is.na(bd_) & o$day==bd_), first=as.numeric(o$day==fst & o$day<=s & !(o$day %in% bd_)), age0=(s-bd)/365.25, agey=(o$day-bd)/365.25, nb=nrow(bs)) }
Q <- rbindlist(Q)
if (nrow(Q)) { put("phase.series", uniqueN(Q$id)); n2 <- uniqueN(Q[nb>=2]$id); n3 <- uniqueN(Q[nb>=3]$id); put("phase.two", n2)
 if (n2>=10) { Q[, after := pmax(m,0)]
  m0 <- suppressMessages(suppressWarnings(lmer(y ~ m + after + (m|client) + (m|id), Q, control=ctl))); put("plain.phase.before", fixef(m0)[2]); put("plain.phase.diff", fixef(m0)[3])
  form <- "y ~ m + after + base"; if (n3>=10) form <- paste(form, "+ first")
  if (diff(range(Q$age0))>=1) { Q[, a0 := age0-mean(age0)]; kn <- quantile(Q$agey, c(.05,.35,.65,.95), type=7)
    pp <- function(x) pmax(x,0)^3; d <- (kn[4]-kn[1])^2; for (k in 1:2) Q[, paste0("s",k) := (pp(agey-kn[k]) - pp(agey-kn[3])*(kn[4]-kn[k])/(kn[4]-kn[3]) + pp(agey-kn[4])*(kn[3]-kn[k])/(kn[4]-kn[3]))/d]
    form <- paste(form, "+ a0 + s1 + s2") }
  m1 <- suppressMessages(suppressWarnings(lmer(as.formula(paste(form,"+ (m|client) + (m|id)")), Q, control=ctl))); for (al in list("Nelder_Mead","nloptwrap","optimx")) { if (al=="optimx") next; mm <- suppressMessages(suppressWarnings(lmer(as.formula(paste(form,"+ (m|client) + (m|id)")), Q, control=lmerControl(optimizer=al, optCtrl=if (al=="nloptwrap") list(xtol_abs=1e-12,ftol_abs=1e-12,maxeval=1e6) else list(maxfun=1e6,FtolRel=1e-16,XtolRel=1e-12), calc.derivs=FALSE,check.conv.singular="ignore"), start=getME(m1,"theta")))); cat(al, REMLcrit(mm), fixef(mm)["after"], "\n"); if (REMLcrit(mm)<REMLcrit(m1)) m1 <- mm }
  mm <- suppressMessages(suppressWarnings(lmer(as.formula(paste(form,"+ (m|client) + (m|id)")), Q, control=lmerControl(optimizer="nloptwrap", optCtrl=list(xtol_abs=1e-12,ftol_abs=1e-12,maxeval=1e6), calc.derivs=FALSE,check.conv.singular="ignore")))); cat("fresh", REMLcrit(mm), fixef(mm)["after"], "\n"); if (REMLcrit(mm)<REMLcrit(m1)) m1 <- mm
  print(VarCorr(m1)); if (Sys.getenv("SAVE_ROWS")!="") saveRDS(list(Q=Q,form=form), Sys.getenv("SAVE_ROWS")); put("fit.phase.before", fixef(m1)["m"]); put("fit.phase.diff", fixef(m1)["after"]); put("fit.phase.reml", REMLcrit(m1))
  suppressPackageStartupMessages(library(ordinal)); Q[, sc := factor(floor(y+0.5))]
  oq <- try(clmm(as.formula(paste(sub("^y","sc",form),"+ (1|id)")), Q, nAGQ=25), silent=TRUE); if (!inherits(oq,"try-error")) { put("fit.clmm.before", coef(oq)["m"]); put("fit.clmm.diff", coef(oq)["after"]); put("fit.clmm.ll", as.numeric(oq$logLik)) } else cat("clmm:", oq) } }
# ---- flow of clients at 12 weeks: each client at the furthest stage that a series of it reached
H <- hz$weeks12
reach <- sapply(S$id, function(i) { if (is.na(st[i])) return(1); if (is.null(basel[[i]])) return(2); o <- ocl[[i]]; if (!any(o$day-st[i]>=H[1] & o$day-st[i]<=H[2])) return(3); p <- pastage(i, basel[[i]]$day); if (is.na(p) || !p) return(4); 5 })
f <- tapply(reach, S$client_id, max); f <- f[names(f) %in% cl$client_id]
put("flow.0", nrow(cl)); for (k in 1:5) put(paste0("flow.",k), sum(f>=k))
fwrite(rbindlist(OUT), outfile); cat(length(OUT), "puts,", nrow(rbindlist(OUT)), "figures\n")
