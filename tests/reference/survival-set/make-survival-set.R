## The second set of reference values for survival, bootstrap and single-case methods, on other data than the shared set.
## Paste after the functions of make-reference.R (up to "set A cases") and run; then crosscheck, notes and source were stripped and
## each case put on one line. Made with R 4.2.2, survival 3.5-3, npsurv 0.5-0, boot 1.3-28.1, coin 1.4-2. Data: survival::lung,
## survival::veteran, survival::aml, and seeded random draws.
lung<-survival::lung; aml<-survival::aml; veteran<-survival::veteran
# survival
lung2 <- put_csv(data.frame(time=lung$time, event=lung$status-1, sex=as.character(lung$sex), ph=ifelse(is.na(lung$ph.ecog),NA,paste0("e",lung$ph.ecog))), "lung")
case_km("km/lung","x",lung2$time,lung2$event,from_csv("lung",time="time",event="event"))
case_km("km/lung-at","x",lung2$time,lung2$event,from_csv("lung",time="time",event="event"),at=300,conf=.9)
vet <- put_csv(data.frame(time=veteran$time,event=veteran$status,cell=as.character(veteran$celltype)),"veteran")
for(cc in unique(vet$cell)) case_km(paste0("km/vet-",cc),"x",vet$time[vet$cell==cc],vet$event[vet$cell==cc],from_csv("veteran",time="time",event="event",where=list(cell=cc)),conf=.99)
case_km("km/aml","x",aml$time[aml$x=="Maintained"],aml$status[aml$x=="Maintained"],list(time=arr(aml$time[aml$x=="Maintained"]),event=arr(aml$status[aml$x=="Maintained"])))
set.seed(1)
for(i in 1:12){ n<-sample(3:15,1); t<-sample(1:8,n,TRUE); d<-rbinom(n,1,.7); if(sum(d)==0) d[1]<-1
 r <- try(case_km(paste0("km/rand",i),"x",t,d,list(time=arr(t),event=arr(d)))) }
t<-c(5,NA,3,8,9,2); d<-c(1,1,NA,0,1,1); case_km("km/missing","x",t,d,list(time=arr(t),event=arr(d)))
case_logrank("lr/vet","x",vet$time,vet$event,vet$cell,from_csv("veteran",time="time",event="event",group="cell"))
case_logrank("lr/lung","x",lung2$time,lung2$event,lung2$sex,from_csv("lung",time="time",event="event",group="sex"))
case_logrank("lr/aml","x",aml$time,aml$status,as.character(aml$x),list(time=arr(aml$time),event=arr(aml$status),group=arr(as.character(aml$x))))
# turnbull
tb <- function(id,L,R,at){ d<-put_csv(data.frame(left=L,right=ifelse(is.finite(R),R,NA)),id); case_turnbull(paste0("tb/",id),"x",L,R,from_csv(id,left="left",right="right"),at)}
for(i in 1:12){set.seed(100+i); n<-sample(c(8,20,40),1); tt<-rweibull(n,1.3,10); g<-sort(sample(1:20,6)); L<-sapply(tt,function(u) max(c(0,(v<-sort(sample(g,4)))[v<u]))); R<-sapply(seq_along(tt),function(j){v<-g[g>=tt[j]]; if(length(v)) sample(rep(v,2),1) else Inf}); 
 if(i%%3==0){k<-sample(n,3); L[k]<-R[k]<-ceiling(tt[k])}
 r<-try(tb(paste0("rand",i),L,R,c(1,3,5,8,12,15)))}
# weibull
w<-function(id,L,R,X){d<-put_csv(data.frame(left=L,right=R,X),id); case_weibull_interval(paste0("w/",id),"x",L,R,X,from_csv(id,left="left",right="right",predictors=arr(names(X))))}
set.seed(5); n<-60; X<-data.frame(age=round(rnorm(n,50,10)),trt=rbinom(n,1,.5)); tt<-exp(2+.02*X$age-.5*X$trt+.7*log(rexp(n))); L<-floor(tt/5)*5; R<-ceiling(tt/5)*5; k<-sample(n,15); R[k]<-Inf; k2<-setdiff(1:n,k)[1:10]; L[k2]<-R[k2]<-round(tt[k2],1)
w("w1",L,R,X)
vl<-data.frame(left=veteran$time,right=ifelse(veteran$status==1,veteran$time,Inf)); w("w2",vl$left,vl$right,data.frame(karno=veteran$karno,trt=veteran$trt))
# bootstrap
set.seed(8); x<-round(rnorm(15),1); y<-round(rnorm(12,.5),1)
case_boot_median("bm/odd","x",x,NULL,list(x=arr(x)),seed=3)
case_boot_median("bm/odd-even","x",x,y,list(x=arr(x),y=arr(y)),seed=4)
x2<-c(1,1,2,2,2,3,4,4); case_boot_median("bm/ties","x",x2,NULL,list(x=arr(x2)),seed=3,conf=.9)
# single case
set.seed(9)
for(i in 1:14){nA<-sample(2:9,1);nB<-sample(2:12,1);A<-if(i%%2) sample(0:4,nA,TRUE) else round(rnorm(nA),2);B<-if(i%%2) sample(0:4,nB,TRUE) else round(rnorm(nB,.8),2); if(i%%5==0&&nA>3) A[2]<-NA
 r<-try(case_phases(paste0("sc/",i),"x",A,B,list(phase_a=arr(A),phase_b=arr(B)),i%%3!=0))}
A<-round(rnorm(25),1);B<-round(rnorm(30,.4),1); case_phases("sc/long","x",A,B,list(phase_a=arr(A),phase_b=arr(B)),TRUE)
for(i in 1:12){n<-sample(3:14,1);x<-if(i%%2) 1:n else sample(1:6,n,TRUE);y<-if(i%%3) round(rnorm(n),2) else sample(0:3,n,TRUE); r<-try(case_kendall(paste0("k/",i),"x",x,y,list(x=arr(x),y=arr(y))))}
x<-c(1:60);y<-round(x*.1+rnorm(60),3);case_kendall("k/long","x",x,y,list(x=arr(x),y=arr(y)))
x<-c(1,2,NA,4,5,6);y<-c(3,NA,1,5,7,2);case_kendall("k/missing","x",x,y,list(x=arr(x),y=arr(y)))
finish("S3")
